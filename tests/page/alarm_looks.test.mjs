// How the sheets about alarms and probes look, measured in a real browser: legible, reachable with a glove, nothing cut off, and
// each priority and each sign told apart without colour.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { after, before, test } from "node:test";
import { dist_dir, launch, open_page, page_require } from "./support/browser.mjs";
import { kStates } from "./support/scripted_roast.mjs";
import { kAlarmSheets } from "./support/alarm_sheets.mjs";
import { kProbeSheets } from "./support/probe_sheets.mjs";
import { Station } from "./support/station.mjs";

const axe_source = readFileSync(page_require.resolve("axe-core/axe.min.js"), "utf8");
const kDone = () => ({ status: 200, body: { recorded: true, text: "" } });
let browser;
let station;
let url;

before(async () => {
    browser = await launch();
    station = new Station(dist_dir(), kStates.roasting);
    url = await station.start();
});
after(async () => {
    await browser?.close();
    await station?.stop();
});

async function on_page(state, act, options, look) {
    station.set(kStates[state]);
    station.answer = kDone;
    const page = await open_page(browser, url, options);
    try {
        await act(page, station);
        await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
        await look(page);
        assert.deepEqual(page.problems, [], state);
    } finally {
        await page.context().close();
    }
}

/** What is too small or cut off in the open sheet: [words, complaint] pairs. */
function measure({ least_px, least_button, least_alarm }) {
    const found = [];
    const dialog = document.querySelector("dialog[open]");
    const frame = dialog.getBoundingClientRect();
    if (frame.top < 0 || frame.bottom > window.innerHeight || frame.right > window.innerWidth) found.push(["sheet", "beyond the screen"]);
    for (const element of dialog.querySelectorAll("*")) {
        if (element.getClientRects().length === 0) continue;
        const box = element.getBoundingClientRect();
        const words = element.textContent.slice(0, 50);
        const own = [...element.childNodes].some((node) => node.nodeType === 3 && node.data.trim());
        if (own && element.namespaceURI.endsWith("xhtml") && Number.parseFloat(getComputedStyle(element).fontSize) < least_px) found.push([words, "small text"]);
        if (own && (box.left < frame.left - 1 || box.right > frame.right + 1)) found.push([words, "beyond the sheet"]);
        if (element.tagName !== "BUTTON") continue;
        const least = element.matches(".alarm-buttons button, .alarm-open") ? least_alarm : least_button;
        if (box.height < least || box.width < 90) found.push([words, `button ${box.width} x ${box.height}`]);
        if (element.scrollWidth > element.clientWidth + 1 || element.scrollHeight > element.clientHeight + 1) found.push([words, "does not fit its button"]);
    }
    const buttons = [...dialog.querySelectorAll("button")].filter((each) => each.getClientRects().length > 0).map((each) => each.getBoundingClientRect());
    buttons.forEach((a, i) => {
        for (const b of buttons.slice(i + 1)) {
            const across = Math.max(a.left, b.left) - Math.min(a.right, b.right);
            const down = Math.max(a.top, b.top) - Math.min(a.bottom, b.bottom);
            if (across < 8 && down < 0 && across > -1) found.push([`${a.left}`, `buttons ${across} px apart`]);
        }
    });
    return found;
}

for (const [name, [state, act]] of Object.entries({ ...kAlarmSheets, ...kProbeSheets })) {
    test(`sheet ${name}: legible, large enough for a glove, nothing beyond its frame`, async () => {
        await on_page(state, act, { size: "tablet" }, async (page) => {
            // 90 px are 15 mm and 120 px 20 mm on a tablet of 10.1 inch; the latter were enough for standing people
            // (Colle and Hiszem, Ergonomics 47(13), 2004, from a summary).
            assert.deepEqual(await page.evaluate(measure, { least_px: 16, least_button: 90, least_alarm: 120 }), []);
            const close = await page.getByRole("dialog").getByRole("button", { name: "close" }).boundingBox();
            assert.ok(close.y + close.height <= 800, "the way out is in sight");
        });
        await on_page(state, act, { size: "phone" }, async (page) =>
            assert.deepEqual(await page.evaluate(measure, { least_px: 16, least_button: 48, least_alarm: 72 }), []),
        );
    });
    test(`sheet ${name}: no finding of axe in light and dark, contrast of 4.5 to 1 included`, async () => {
        for (const scheme of ["light", "dark"])
            await on_page(state, act, { scheme, bypassCSP: true }, async (page) => {
                await page.addScriptTag({ content: axe_source });
                const result = await page.evaluate(() => globalThis.axe.run(document.querySelector("dialog[open]")));
                assert.deepEqual(result.violations.map((each) => [each.id, each.nodes.map((node) => node.html)]), []);
            });
    });
    test(`sheet ${name}: no letter codes, and nothing flashes in it`, () =>
        on_page(state, act, {}, async (page) => {
            const text = await page.getByRole("dialog").innerText();
            assert.deepEqual(text.match(/\b(?!(?:ANSI|ISA|EEMUA|ISO|NO|LIVE|DATA)\b)[A-Z]{2,}\b/g) ?? [], []);
            assert.equal(await page.evaluate(() => document.getAnimations().filter((each) => each.effect.target.closest("dialog")).length), 0);
        }));
}

test("in grey a reading that is waited for and a check that is due stay apart by their signs", async () => {
    const signs = await pictures(["probes_moving"], ".steady .aside-mark", kProbeSheets.check[1]);
    signs.push(...(await pictures(["probes_fine"], ".due .aside-mark", kProbeSheets.probes_fine[1])));
    assert.equal(signs.length, 2);
    await all_differ(signs);
});

test("every state of an alarm's life is on the page in words of its own", async () => {
    const seen = {};
    for (const state of ["drift", "drift_silenced", "drift_acknowledged", "drift_returned", "kept_until_seen", "latched"])
        await on_page(state, () => {}, {}, async (page) => {
            seen[state] = (await page.locator(".corner .alarm-state").innerText()).split(", ").slice(1, -1).join(", ");
        });
    await on_page("put_aside_between", kAlarmSheets.aside[1], {}, async (page) => {
        const rows = await page.locator(".aside-row").evaluateAll((all) => all.map((each) => [each.dataset.state, each.querySelector(".aside-words p:nth-child(2)").textContent.split(" for ")[0]]));
        for (const [state, words] of rows) seen[state] = words;
    });
    assert.deepEqual(seen, {
        drift: "not acknowledged", drift_silenced: "silenced, not acknowledged", drift_acknowledged: "acknowledged",
        drift_returned: "ended, not acknowledged", kept_until_seen: "ended, kept until seen", latched: "ended, kept until reset",
        shelved: "shelved", out_of_service: "out of service", suppressed: "suppressed",
    });
});

/** Share of pixels that differ between two pictures of one size once they are grey and cut at the middle. */
async function grey_difference(page, first, second) {
    return page.evaluate(
        async ([one, other]) => {
            const black_and_white = async (base64) => {
                const image = new Image();
                image.src = `data:image/png;base64,${base64}`;
                await image.decode();
                const canvas = Object.assign(document.createElement("canvas"), { width: 120, height: 120 });
                const context = canvas.getContext("2d");
                context.drawImage(image, 0, 0, 120, 120);
                const { data } = context.getImageData(0, 0, 120, 120);
                // Luma of ITU-R Recommendation 709.
                const grey = Array.from({ length: 120 * 120 }, (_, i) => 0.2126 * data[4 * i] + 0.7152 * data[4 * i + 1] + 0.0722 * data[4 * i + 2]);
                const middle = (Math.max(...grey) + Math.min(...grey)) / 2;
                return grey.map((each) => each > middle);
            };
            const [a, b] = [await black_and_white(one), await black_and_white(other)];
            return a.filter((each, i) => each !== b[i]).length / a.length;
        },
        [first.toString("base64"), second.toString("base64")],
    );
}

/** Each sign by itself, in one corner of the screen and of one size; a number in it left out: the shape alone must do. */
async function pictures(names, selector, act) {
    const taken = [];
    for (const name of names)
        await on_page(name, act, { bypassCSP: true, reducedMotion: "reduce" }, async (page) => {
            await page.addStyleTag({ content: ".shape-number { display: none; } .to-look { position: fixed; inset: 0 auto auto 0; width: 120px !important; max-width: none; height: 120px; z-index: 9; background: #fff; }" });
            const signs = page.locator(selector);
            for (let i = 0; i < (await signs.count()); ++i) {
                await signs.nth(i).evaluate((each) => each.classList.add("to-look"));
                taken.push(await page.screenshot({ clip: { x: 0, y: 0, width: 120, height: 120 } }));
                await signs.nth(i).evaluate((each) => each.classList.remove("to-look"));
            }
        });
    return taken;
}

async function all_differ(taken) {
    await on_page("roasting", () => {}, { bypassCSP: true }, async (page) => {
        assert.equal(await grey_difference(page, taken[0], taken[0]), 0);
        for (let i = 0; i < taken.length; ++i)
            for (let j = i + 1; j < taken.length; ++j) {
                const share = await grey_difference(page, taken[i], taken[j]);
                assert.ok(share > 0.04, `${i} and ${j}: ${share}`);
            }
    });
}

test("in grey the three priorities stay apart by their shapes", async () => {
    const shapes = await pictures(["kept_until_seen", "drift_acknowledged", "low_alarm"], ".corner .shape", () => {});
    assert.equal(shapes.length, 3);
    await all_differ(shapes);
});

test("in grey shelved, out of service and suppressed stay apart by their signs", async () => {
    const signs = await pictures(["put_aside_between"], ".aside-row .aside-mark", kAlarmSheets.aside[1]);
    assert.equal(signs.length, 3);
    await all_differ(signs);
});

test("in grey a sounder that failed differs from one that works", async () => {
    const signs = await pictures(["sounder_failed"], ".aside-row .aside-mark", kAlarmSheets.sounders[1]);
    assert.equal(signs.length, 2);
    await all_differ(signs);
});

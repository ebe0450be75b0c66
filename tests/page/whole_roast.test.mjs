// A whole roast with the real simulator and the real daemon as processes, followed in a real browser: charge found,
// probe lost for a moment and its alarm acknowledged, first crack marked, taken back and marked again, drop and verdict,
// the daemon lost and regained. Ports are the kernel's choice; nothing is killed by name. DRUMWATCH_BIN_DIR holds the
// programs.
import assert from "node:assert/strict";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, test } from "node:test";
import { launch, open_page } from "./support/browser.mjs";
import { end_all, start, stop, write_station } from "./support/programs.mjs";

const kSpeed = 4; // faster, and a busy machine that stalls for a quarter second is a silent bus
const kSeed = 7;
const kLongMs = 90_000; // only stops a hang

after(() => end_all("SIGKILL"));

test("a whole roast on the page", { timeout: 600_000 }, async (t) => {
    const step = async (name, act) => {
        console.log(name);
        await act();
    };
    const folder = mkdtempSync(join(tmpdir(), "drumwatch-page-"));
    const browser = await launch();
    t.after(async () => {
        await browser.close();
        end_all("SIGTERM");
        rmSync(folder, { recursive: true, force: true });
    });
    console.log(`seed ${kSeed}, speed ${kSpeed}`);
    const simulator = start("drumwatch-sim", [
        "--machine", "drum", "--speed", String(kSpeed), "--seed", String(kSeed), "--fault", "open-bean@330+12", "--batches", "1",
    ]);
    const [, modbus_port] = await simulator.line(/^modbus: .*:(\d+)/);
    let daemon = start("drumwatch", ["run", write_station(folder, modbus_port, 0, kSpeed)]);
    const [, url, web_port] = await daemon.line(/^page: (http:\/\/\S+:(\d+)\/)/);

    const page = await open_page(browser, url);
    const button = (name) => page.getByRole("button", { name });
    const wait = (locator) => locator.waitFor({ timeout: kLongMs });
    const shot = async (name) => process.env.DRUMWATCH_SHOTS && page.screenshot({ path: join(process.env.DRUMWATCH_SHOTS, `real-${name}.png`) });
    // On a machine that is busy with other things a bus may have been late: what a person does then. Any other alarm is wrong.
    const gone = (error) => assert.equal(error.name, "TimeoutError"); // what was acknowledged a moment before
    const acknowledge_late_bus = async () => {
        const waiting = page.locator(".corner .alarm", { has: page.getByRole("button", { name: /^acknowledge$/ }) });
        for (const until = Date.now() + kLongMs; (await waiting.count()) > 0 && Date.now() < until; await page.waitForTimeout(500)) {
            const text = await waiting.first().innerText({ timeout: 2_000 }).catch(gone);
            if (text === undefined) continue;
            assert.match(text, /bus|probe/);
            console.log(`acknowledged: ${text}`);
            await waiting.first().getByRole("button", { name: /^acknowledge$/ }).click({ timeout: 2_000 }).catch(gone);
        }
    };
    const status = () => page.evaluate(() => fetch("/api/status").then((each) => each.json()));

    await step("the charge is found and the roast followed", async () => {
        await wait(page.locator(".view-judged"));
        await page.waitForFunction(() => /^inside|^outside/.test(document.querySelector(".sentence")?.innerText ?? ""), null, { timeout: kLongMs });
        const now = await status();
        assert.ok(now.roast.milestones.charge && now.roast.milestones.turning_point);
        const shown = await page.locator("[data-glance=deviation]").innerText();
        assert.match(shown, /^[+−±]\d+\.\d$/);
        const line = await page.locator(".middle .roast-line").getAttribute("d");
        assert.ok(line.length > 200, "the deviation is drawn");
        assert.ok((await page.locator(".middle .band").getAttribute("d")).length > 100, "the corridor is drawn");
        assert.match(await page.locator("[data-glance=crack]").innerText(), /^in \d+:\d\d$/);
        await shot("followed");
    });

    await step("a lost probe is a dash and an alarm, which is acknowledged", async () => {
        const alarm = page.locator(".corner .alarm", { hasText: /bean/ });
        await wait(alarm);
        await shot("alarm");
        await alarm.locator(".alarm-open").click();
        const sheet = page.getByRole("dialog");
        await wait(sheet.getByText("a broken or loose probe, plug or cable"));
        await wait(sheet.getByText("This is no safety function."));
        assert.equal(await sheet.getByRole("button", { name: /^shelve/ }).count(), 0, "a probe fault is not offered for the shelf");
        await shot("detail");
        await sheet.getByRole("button", { name: /^acknowledge$/ }).click();
        await wait(sheet.getByText(/acknowledged|no longer present/).first());
        await sheet.getByRole("button", { name: "close" }).click();
        const until = Date.now() + kLongMs;
        while (Date.now() < until && (await page.locator(".corner .alarm").count()) > 0) {
            await acknowledge_late_bus();
            await page.waitForTimeout(500);
        }
        assert.equal(await page.locator(".corner .alarm").count(), 0, "what is acknowledged and over is gone");
    });

    await step("first crack is marked, taken back and marked again", async () => {
        await page.waitForFunction(
            () => fetch("/api/status").then((each) => each.json()).then((now) => now.forecast && now.forecast.first_crack.in_s < 20),
            null, { timeout: kLongMs, polling: 200 },
        );
        await button(/^first crack/).last().click();
        await wait(page.getByText("since first crack"));
        assert.equal((await status()).roast.milestones.first_crack.source, "mark");
        await shot("undo");
        await page.waitForFunction(() => /[1-8] s/.test(document.querySelector(".mark.undo")?.innerText ?? ""));
        await button(/^undo/).click();
        await page.waitForFunction(() => fetch("/api/status").then((each) => each.json()).then((now) => !now.roast.milestones.first_crack), null, { polling: 100 });
        await page.locator(".mark.first_crack").click();
        await wait(page.getByText("since first crack"));
    });

    await step("after the drop the verdict stands there with its reasons", async () => {
        await wait(page.locator(".view-dropped"));
        const now = await status();
        assert.equal(await page.locator(".verdict-word").innerText(), now.last_verdict.disposition);
        for (const reason of now.last_verdict.reasons.slice(0, 3)) await wait(page.locator(".reasons li", { hasText: reason.text }));
        await acknowledge_late_bus();
        await wait(page.locator(".batch-row", { hasText: now.last_verdict.disposition }));
        await shot("verdict");
    });

    await step("an alarm is shelved, stands in the list with its time, and comes back by hand", async () => {
        // None that may be shelved need be active in a good roast: the daemon is asked as another tablet would ask it.
        const asked = await page.evaluate(() =>
            fetch("/api/alarms/shelve", {
                method: "POST",
                headers: { "Content-Type": "application/json", "X-Drumwatch": "1" },
                body: JSON.stringify({ client_id: "other-tablet-1", who: "Jory", rule: "record_failing", minutes: 5, text: "the disk is looked at" }),
            }).then((each) => each.status),
        );
        assert.equal(asked, 200);
        await button(/1 put aside/).click();
        const sheet = page.getByRole("dialog");
        await wait(sheet.getByText(/shelved for \d+\ss, by Jory: back in \d+\s(s|min) at the latest/));
        await wait(sheet.getByText("“the disk is looked at”"));
        await shot("put-aside");
        await sheet.getByRole("button", { name: "unshelve" }).click();
        await wait(sheet.getByText("Nothing is put aside"));
        await sheet.getByRole("button", { name: "close" }).click();
        assert.deepEqual((await status()).alarms_put_aside, []);
    });

    await step("the figures of the alarms count what came, and the sounders are listed", async () => {
        await button("alarms…").click();
        const sheet = page.getByRole("dialog");
        await sheet.getByRole("button", { name: "figures" }).click();
        const summary = await sheet.locator(".summary").innerText();
        assert.match(summary, /^[1-9]\d*\salarms?\sin\s/);
        await sheet.getByRole("button", { name: "by rule" }).click();
        await wait(sheet.getByRole("rowheader", { name: "bean probe fault" }));
        // By day, not by roast: at this speed the roast's time of day lies before the watch that it is counted in.
        await sheet.getByRole("button", { name: "by day" }).click();
        const days = await page.evaluate(() => fetch("/api/alarms/figures").then((each) => each.json()).then((each) => each.days));
        assert.equal(days.length, await sheet.locator("tbody tr").count());
        assert.equal(await sheet.locator("tbody tr td[data-name=alarms]").first().innerText(), String(days.at(-1).alarms));
        await shot("figures");
        await sheet.getByRole("button", { name: "sounders" }).click();
        const { sounders } = await status();
        await wait(sheet.getByText(sounders.length === 0 ? "No sounder is set up" : `sounder ${sounders[0].name}:`).first());
        await sheet.getByRole("button", { name: "close" }).click();
    });

    await step("a weight is recorded with the batch, and the answer says what became of the verdict", async () => {
        const { last_verdict } = await status();
        await page.locator(".batch-row", { hasText: last_verdict.disposition }).click();
        const sheet = page.getByRole("dialog");
        await sheet.getByLabel("roasted, kg").fill("10,2");
        await sheet.getByRole("button", { name: "record" }).click();
        await wait(sheet.getByText(/^Roast 1: recorded\./));
        await wait(sheet.getByText("In the record: roasted 10.20 kg"));
        await shot("weighed");
        await sheet.getByRole("button", { name: "close" }).click();
    });

    await step("the daemon lost is said plainly, and found again by itself", async () => {
        assert.equal(await stop(daemon), 0);
        await wait(page.getByText(/NO LIVE DATA for \d+ s/));
        for (const each of await page.locator("[data-glance]").allInnerTexts()) assert.doesNotMatch(each, /\d/);
        await shot("lost");
        daemon = start("drumwatch", ["run", write_station(folder, modbus_port, web_port, kSpeed)]);
        await page.getByText(/NO LIVE DATA/).waitFor({ state: "detached", timeout: kLongMs });
        await wait(page.locator(".batch-row", { hasText: "Fen Meadow, washed" }));
    });

    await step("with the drum empty the page asks whether all is ready, and says what is missing", async () => {
        await wait(page.getByText("ready to charge?"));
        await wait(page.locator(".choice.chosen", { hasText: "Fen Meadow, washed" }));
        const { ready } = await status();
        for (const text of ready.missing) await wait(page.locator(".reasons li", { hasText: text }));
        await shot("ready");
    });

    assert.equal(await stop(daemon), 0);
    await stop(simulator);
});

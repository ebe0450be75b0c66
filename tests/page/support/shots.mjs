// Pictures of every state, and of what one tap brings, in every size, light and dark, for the eye:
//   DRUMWATCH_PAGE_DIST=... node tests/page/support/shots.mjs OUT_DIR [STATE...]
// SHOTS_OF=tablet-light,phone-dark takes these alone.
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { dist_dir, kSizes, launch, open_page } from "./browser.mjs";
import { kAlarmSheets } from "./alarm_sheets.mjs";
import { kProbeSheets } from "./probe_sheets.mjs";
import { kStates } from "./scripted_roast.mjs";
import { Station } from "./station.mjs";

const tap = (name) => (page) => page.getByRole("button", { name }).first().click();
const set = (choice) => async (page) => {
    await tap("settings")(page);
    await tap(choice)(page);
    await tap("close")(page);
};

/** Pictures that need a hand: [state, what is done]. */
const kTaps = {
    undo: ["roasting", tap(/heard now/)],
    why: ["roasting", (page) => page.locator(".glance.deviation").click()],
    forecast: ["roasting", (page) => page.getByTitle("why this forecast").click()],
    counted_from: ["cracked", (page) => page.getByTitle("what these numbers are counted from").click()],
    move: ["roasting", (page) => page.getByTitle("why this move").click()],
    drop: ["cracked", (page) => page.getByTitle("why this drop").click()],
    other_marks: ["cracked", tap("other…")],
    settings: ["roasting", tap("settings")],
    safety: ["roasting", tap("Watches only")],
    all_alarms: ["two_alarms", tap(/2 more/)],
    ...Object.fromEntries(Object.entries(kProbeSheets).map(([name, each]) => [`sheet_${name}`, each])),
    ...Object.fromEntries(Object.entries(kAlarmSheets).map(([name, each]) => [`sheet_${name}`, each])),
    refused: ["drift", async (page, station) => {
        station.answer = () => ({ status: 409, body: { detail: "it is latched: acknowledge and reset it first" } });
        await kAlarmSheets.shelving[1](page);
        await page.getByRole("dialog").getByRole("button", { name: "shelve for 10 min" }).click();
    }],
    no_limiter: ["all_at_once", tap("Watches only")],
    all_reasons: ["dropped_hold", (page) => page.locator(".glance.deviation").click()],
    batch: ["dropped_taste", tap(/^9 .*hold/)],
    fahrenheit: ["drift_acknowledged", set("°F")],
    from_afar: ["roasting", set("from afar")],
    from_afar_alarm: ["drift", set("from afar")],
    lost: [
        "roasting",
        async (page, station) => {
            station.mute = true;
            station.cut();
            await page.getByText(/NO LIVE DATA for [3-9] s/).waitFor();
            station.mute = false;
        },
    ],
};

const [out, ...wanted] = process.argv.slice(2);
if (!out) {
    console.error("usage: node shots.mjs OUT_DIR [STATE...]");
    process.exit(2);
}
const unknown = wanted.find((name) => !kTaps[name] && !kStates[name]);
if (unknown) {
    console.error(`no state is called ${unknown}; there are ${[...Object.keys(kStates), ...Object.keys(kTaps)].join(", ")}`);
    process.exit(2);
}
const kOnly = process.env.SHOTS_OF?.split(",");
mkdirSync(out, { recursive: true });
const browser = await launch();
for (const name of wanted.length ? wanted : [...Object.keys(kStates), ...Object.keys(kTaps)]) {
    const [state, act] = kTaps[name] ?? [name, () => {}];
    for (const size of Object.keys(kSizes))
        for (const scheme of ["light", "dark"]) {
            if (kOnly && !kOnly.includes(`${size}-${scheme}`)) continue;
            const station = new Station(dist_dir(), kStates[state]);
            const page = await open_page(browser, await station.start(), { size, scheme });
            await page.waitForTimeout(300);
            await act(page, station);
            await page.waitForTimeout(100);
            await page.screenshot({ path: join(out, `${name}-${size}-${scheme}.png`), fullPage: size === "phone" });
            if (page.problems.length > 0 && name !== "lost") console.log(name, size, scheme, page.problems);
            await page.context().close();
            await station.stop();
        }
}
await browser.close();

// The sheet of the probes in a real browser, against a scripted station whose answers the test decides. Every body that
// is sent is held against openapi.json.
import assert from "node:assert/strict";
import { test } from "node:test";
import { button, each_with, heard as heard_body, page, posts, sheet, station, text_of, visit } from "./support/bench.mjs";
import { body_of } from "./support/openapi.mjs";
import { open_probes } from "./support/probe_sheets.mjs";
import { kKnown } from "./support/scripted_probes.mjs";
import { kStates, kTargetEntries } from "./support/scripted_roast.mjs";

each_with("probes_fine");

async function open(state, change = {}) {
    await visit({ ...kStates[state], ...change });
    await open_probes(page);
}
const field = (label) => sheet().getByLabel(label);
const asked = () => station.urls.filter((url) => url === "/api/probes").length;
const said = (words) => page.locator("dialog .said", { hasText: words }).waitFor();

/** The same, and openapi.json must know it. */
async function heard(path, count = 1) {
    const rest = await heard_body(path, count);
    const fits = body_of(path);
    assert.ok(fits(posts(path)[count - 1].body), JSON.stringify(fits.errors));
    return rest;
}

/** The daemon does it, with these words; what it tells of bean from then on. */
function does_it(text, bean = {}) {
    station.answer = () => {
        station.state.probes = { ...station.state.probes, bean: { ...kKnown.bean, ...station.state.probes?.bean, ...bean } };
        return { status: 200, body: { recorded: true, text } };
    };
}

async function one(name) {
    await button(new RegExp(`^${name}\\s›`)).click();
    await page.locator(".live-reading").waitFor();
}

async function set_fahrenheit() {
    await page.getByRole("button", { name: "settings" }).click();
    await page.getByRole("button", { name: "°F" }).click();
    await page.getByRole("button", { name: "close" }).click();
}

test("the table says of each probe what it shows and reads, how it is, when it was checked, and what is due", async () => {
    await open("probes_cold");
    await sheet().getByText("bus kiln: no answer for 12 s").waitFor();
    const rows = await sheet().locator("tbody tr").evaluateAll((all) => all.map((each) => each.innerText.replaceAll(/\s+/g, " ")));
    assert.equal(rows.length, 5);
    assert.match(rows[0], /^bean › (21\.[123]|20\.9) °C 2[01]\.\d °C good, 0 s old 4 November 2026, Jory: boiling point, 0\.4 °C too high at 99\.2 °C uncorrected, as corrected now 0\.2 °C too low due in 9 days corrected: 0\.4 °C too low at 0\.0 °C, 0\.6 °C too high at 100\.0 °C wiped on 12 October 2026 by Ines$/);
    assert.match(rows[1], /overdue for 3 days taken as they come not changed since the record began$/);
    assert.match(rows[2], /^inlet › – – probe shorted, last reading 41 s ago never due: not checked yet/);
    assert.match(rows[3], /^drum metal › – – wires reversed, last reading 41 s ago/);
    assert.match(rows[4], /differs from its twin: used all the same/);
    const due = sheet().locator(".due");
    assert.deepEqual(await due.evaluateAll((all) => all.map((each) => [each.dataset.due, each.querySelectorAll("svg").length])), [["false", 0], ["true", 1], ["true", 1], ["true", 1], ["true", 1]]);
});

test("it is asked every second while the sheet is open, and not before or after", async () => {
    await visit(kStates.probes_fine);
    await page.waitForTimeout(1500);
    assert.equal(asked(), 0);
    await open_probes(page);
    const from = asked();
    await page.waitForTimeout(3500);
    const more = asked() - from;
    assert.ok(more >= 2 && more <= 5, `${more} in 3.5 s`);
    await button("close").click();
    await page.waitForTimeout(300);
    const closed = asked();
    await page.waitForTimeout(2200);
    assert.equal(asked(), closed);
});

test("the quiet corner, the settings and the sheet of a probe's alarm lead to it", async () => {
    await visit(kStates.roasting);
    await page.locator(".corner").getByRole("button", { name: "probes…" }).click();
    await sheet().getByRole("heading", { name: "Probes" }).waitFor();
    await button("close").click();
    station.state = { ...kStates.probe_lost };
    await page.locator(".corner .alarm-open").click();
    await button("the probes…").click();
    await sheet().getByText(/^probe open, last reading 22\ss ago$/).waitFor();
});

test("a check against ice, guided: name asked, the daemon's sentence shown, and a correction of it offered and confirmed", async () => {
    await open("probes_fine");
    await one("bean");
    await button("check it…").click();
    await button(/^ice point/).click();
    assert.match(await text_of(sheet()), /Caution: Take a probe out only with the machine off and cool/);
    await button("it is in: next").click();
    assert.ok(await button("take this check").isDisabled());
    await field("your name").fill(" Ines ");
    await field(/^a note/).fill("stirred");
    const found = { at: "2026-11-25T10:48:00.000Z", who: "Ines", method: "ice_point", reads_c: 0.5, is_c: 0, note: "stirred" };
    does_it("It shows 0.9 °C where 0.0 °C is true: 0.9 too high.", { last_check: found, check_due_days: 30 });
    await button("take this check").click();
    assert.deepEqual(await heard("/api/probes/check"), { channel: "bean", who: "Ines", method: "ice_point", note: "stirred" });
    await sheet().getByText(/^It shows 0\.9\s°C where 0\.0\s°C is true: 0\.9\stoo high\.$/).waitFor();
    assert.match(await text_of(sheet()), /This check: reads 0\.5 °C uncorrected, true 0\.0 °C\./);
    await button("add it to the correction…").click();
    const typed = await sheet().locator(".point input").evaluateAll((all) => all.map((each) => each.value));
    assert.deepEqual(typed, ["0.5", "0", "100.6", "100"], "in the place of the one too near it");
    await button("what will change?").click();
    assert.match(await text_of(sheet().locator(".changes")), /^bean shows 0\.9 °C less at 0\.0 °C from now on\. bean shows the same as before at 100\.0 °C from now on\.$/);
    assert.equal(await field("your name").inputValue(), " Ines ", "typed once");
    does_it("Its readings are corrected by 2 points from now on.", { calibration: [{ reads_c: 0.5, is_c: 0 }, { reads_c: 100.6, is_c: 100 }] });
    await button("correct it so").click();
    assert.deepEqual(await heard("/api/probes/calibrate"), { channel: "bean", who: "Ines", reads_1_c: 0.5, is_1_c: 0, reads_2_c: 100.6, is_2_c: 100 });
    await said("Its readings are corrected by 2 points from now on.");
    await sheet().getByText(/^corrected: 0\.5\s°C too high at 0\.0\s°C/).waitFor();
});

test("where there is no correction yet, one by this check alone is offered", async () => {
    await open("probes_fine", { probes: { bean: { calibration: [], last_check: null, check_due_days: 0, epoch: null } } });
    await one("bean");
    await button("check it…").click();
    await button(/^comparison/).click();
    await button("it is in: next").click();
    await field("your name").fill("Ines");
    assert.ok(await button("take this check").isDisabled(), "the other one's reading is missing");
    await field("the other one reads, °C").fill("149,9");
    does_it("It shows 151.2 °C where 149.9 °C is true: 1.3 too high.", { calibration: [], last_check: { at: "2026-11-25T10:48:00.000Z", who: "Ines", method: "comparison", reads_c: 151.2, is_c: 149.9, note: "" } });
    await button("take this check").click();
    assert.deepEqual(await heard("/api/probes/check"), { channel: "bean", who: "Ines", method: "comparison", is_c: 149.9 });
    await button("correct by this check alone…").waitFor();
    assert.equal(await button("add it to the correction…").count(), 0);
    await button("correct by this check alone…").click();
    await button("what will change?").click();
    assert.equal(await text_of(sheet().locator(".changes")), "bean shows 1.3 °C less everywhere from now on.");
});

test("a refusal is shown as it comes, and nothing that was typed is lost", async () => {
    await open("probes_moving");
    await one("bean");
    await button("check it…").click();
    await button(/^boiling point/).click();
    await sheet().getByText(/^not steady: \d+\.\d\sto \d+\.\d\s°C in the last 20\ss, 1\.0\s°C is allowed$/).waitFor();
    await button("it is in: next").click();
    assert.match(await text_of(sheet()), /taken from the site's altitude: 99\.2 °C, give or take 0\.6 °C with the weather/);
    await field("your name").fill("Jory");
    await field(/^air pressure/).fill("98550");
    assert.ok(await button("take this check").isDisabled());
    await field(/^air pressure/).fill("985.5");
    const why = "bean is not steady: 18.2 to 23.9 °C in the last 20 s, and 1.0 °C is allowed. Stir, keep the tip off the wall, wait.";
    station.answer = () => ({ status: 409, body: { title: "Conflict", detail: why } });
    await button("take this check").click();
    assert.deepEqual(await heard("/api/probes/check"), { channel: "bean", who: "Jory", method: "boiling_point", pressure_hpa: 985.5 });
    await said(`Not done: ${why.slice(0, 20)}`);
    assert.equal(await field(/^air pressure/).inputValue(), "985.5");
});

test("steadiness is told from live readings, with a sign of its own", async () => {
    await open("probes_fine");
    await one("bean");
    await button("check it…").click();
    await sheet().getByText(/^so far it stands still: \d+\ss more$/).waitFor();
    assert.equal(await sheet().locator(".steady [data-mark]").getAttribute("data-mark"), "clock");
    await sheet().getByText(/^steady for 15\ss and more$/).waitFor({ timeout: 40_000 });
    assert.equal(await sheet().locator(".steady [data-mark]").getAttribute("data-mark"), "tick");
});

test("the tip that a hand warms is named from live readings", async () => {
    await open("probes_fine");
    await button("which is which").click();
    await sheet().getByText("None yet.").waitFor({ timeout: 30_000 });
    station.state.warmed = { exhaust: 6 };
    await sheet().getByText("It is exhaust.").waitFor({ timeout: 30_000 });
    assert.deepEqual(await sheet().locator("tr:has([data-mark=up]) th").allInnerTexts(), ["exhaust"]);
    assert.match(await text_of(sheet()), /Never a flame on a probe/);
    station.state.warmed = { exhaust: 6, bean: 5 };
    await sheet().getByText(/^Two rise: exhaust, bean\. Let them cool/).waitFor({ timeout: 30_000 });
});

test("points are edited: the limit, too many, all cleared; and nothing is sent without a name", async () => {
    await open("probes_fine");
    await one("bean");
    await button("correct it…").click();
    for (let i = 0; i < 3; ++i) await button("add a point").click();
    assert.equal(await button("add a point").count(), 0, "five are the most");
    assert.ok(await button("what will change?").isDisabled());
    await sheet().getByText("Each field wants a temperature, such as 100.6.").waitFor();
    for (let i = 0; i < 2; ++i) await button("remove").last().click();
    await field(/^3: it reads/).fill("151");
    await field("true is, °C").last().fill("165");
    await sheet().getByText(/is off by more than the 5\.0\s°C that this station allows/).waitFor();
    assert.ok(await button("what will change?").isDisabled());
    await button("clear all").click();
    await sheet().getByText("No points: its readings are taken as they come.").waitFor();
    await button("what will change?").click();
    assert.equal(await text_of(sheet().locator(".changes")), "bean shows 0.4 °C less at −0.4 °C from now on. bean shows 0.6 °C more at 100.6 °C from now on.");
    assert.ok(await button("take them as they come").isDisabled());
    await field("your name").fill("Ines");
    does_it("Its readings are taken as they come.", { calibration: [] });
    await button("take them as they come").click();
    assert.deepEqual(await heard("/api/probes/calibrate"), { channel: "bean", who: "Ines" });
    await sheet().getByText("taken as they come", { exact: true }).waitFor();
});

test("a change says what follows, needs a name, and stands in the table afterwards", async () => {
    await open("probes_fine");
    await one("bean");
    await button(/^it was wiped/).click();
    assert.match(await text_of(sheet()), /is learned anew.*Older targets ask to be confirmed.*Its correction stays as it is/);
    await field("your name").fill("Ines");
    assert.ok(await button("choose what was done").isDisabled());
    await button("moved").click();
    await field(/^a note/).fill("5 mm deeper");
    const lists = station.urls.filter((url) => url === "/api/targets").length;
    does_it("What was learned of its temperatures counts for little from now on.", { epoch: { at: "2026-11-25T10:48:00.000Z", who: "Ines", what: "moved", note: "5 mm deeper" } });
    await button("bean was moved").click();
    assert.deepEqual(await heard("/api/probes/change"), { channel: "bean", what: "moved", who: "Ines", note: "5 mm deeper" });
    await said("What was learned of its temperatures");
    await button("all probes").click();
    await sheet().getByText(/^moved on 25\sNovember\s2026\sby Ines: 5\smm deeper$/).waitFor();
    assert.ok(station.urls.filter((url) => url === "/api/targets").length > lists, "the list of targets is asked for anew");
});

test("of another probe than the bean's nothing is said of what was learned, for nothing is learned from it", async () => {
    await open("probes_fine");
    await one("exhaust");
    await button(/^it was wiped/).click();
    const words = await text_of(sheet());
    assert.match(words, /What follows It is noted with the day.*Check it soon/);
    assert.doesNotMatch(words, /learned|targets/);
    await field("your name").fill("Ines");
    await button("wiped").click();
    does_it("Noted, with the day.");
    await button("exhaust was wiped").click();
    assert.deepEqual(await heard("/api/probes/change"), { channel: "exhaust", what: "wiped", who: "Ines" });
    await said("Noted, with the day.");
});

test("a probe at fault says in a sentence what it is, what to look at first, and how often it was so", async () => {
    await open("probes_cold");
    await one("inlet");
    assert.match(await text_of(sheet()), /probe shorted, last reading 41 s ago The wires touch.*Look first: Look where its wires may touch: in the head.*it was probe shorted twice, since the daemon's start/);
    await button("all probes").click();
    await one("bean twin");
    assert.match(await text_of(sheet()), /differs from its twin: used all the same.*Look first: Are both as deep in/);
    await button("all probes").click();
    await one("bean");
    assert.doesNotMatch(await text_of(sheet()), /Look first|it was probe/);
});

test("with a batch in the drum, and with the daemon lost, nothing can be done and nothing old passes for live", async () => {
    await open("roasting");
    await one("bean");
    await sheet().getByText("There is a batch in the drum: do this when it is empty.").waitFor();
    for (const name of ["check it…", "correct it…", /^it was wiped/]) assert.ok(await button(name).isDisabled());
    station.state = { ...kStates.probes_fine };
    await page.waitForFunction(() => !document.querySelector("dialog .act").disabled);
    await button("check it…").click();
    await button(/^ice point/).click();
    await button("it is in: next").click();
    await field("your name").fill("Ines");
    assert.ok(await button("take this check").isEnabled());
    station.state = { ...kStates.roasting };
    await sheet().getByText("There is a batch in the drum").waitFor();
    assert.ok(await button("take this check").isDisabled());
    station.mute = true;
    station.cut();
    await sheet().getByText("No live data: this is as last heard.").waitFor();
    await sheet().getByText("No live data: this waits until the daemon answers.").waitFor();
    assert.match(await text_of(sheet().locator(".live-reading")), /^reads – uncorrected no reading/);
    assert.ok(await button("take this check").isDisabled());
    assert.equal(station.posts.length, 0);
});

test("a tablet in °F reads, asks and says all of it in °F, and sends °C", async () => {
    await visit(kStates.probes_fine);
    await set_fahrenheit();
    await open_probes(page);
    assert.doesNotMatch(await text_of(sheet()), /°C/);
    assert.match(await text_of(sheet()), /corrected: 0\.7 °F too low at 32\.0 °F, 1\.1 °F too high at 212\.0 °F/);
    await one("bean");
    await button("correct it…").click();
    await field(/^1: it reads, °F/).fill("32.9");
    await field("true is, °F").first().fill("32");
    await button("what will change?").click();
    assert.match(await text_of(sheet().locator(".changes")), /bean shows [\d.]+ °F less at 32\.0 °F/);
    await field("your name").fill("Ines");
    await button("correct it so").click();
    assert.deepEqual(await heard("/api/probes/calibrate"), { channel: "bean", who: "Ines", reads_1_c: 0.5, is_1_c: 0, reads_2_c: 100.6, is_2_c: 100 });
    await button("check it…").click();
    await button(/^comparison/).click();
    await button("it is in: next").click();
    await field("the other one reads, °F").fill("302");
    await button("take this check").click();
    assert.deepEqual(await heard("/api/probes/check"), { channel: "bean", who: "Ines", method: "comparison", is_c: 150 });
});

test("a target from before a change says so in the list, and a named person confirms it there", async () => {
    await visit(kStates.to_confirm);
    await page.locator(".choice-doubt", { hasText: "from before the bean probe was wiped on 2026-11-24" }).waitFor();
    assert.equal(await page.locator(".choice-doubt").count(), 1);
    await page.getByRole("button", { name: "still holds…" }).click();
    const act = button("it still holds");
    assert.ok(await act.isDisabled());
    await field("your name").fill("Ines");
    station.answer = () => {
        station.state.targets = kTargetEntries;
        return { status: 200, body: { recorded: true, text: "The target fen-meadow-washed is taken to hold with the probe as it is now." } };
    };
    await act.click();
    assert.deepEqual(await heard("/api/target/confirm"), { who: "Ines", name: "fen-meadow-washed" });
    await sheet().getByText("Nothing about it asks to be confirmed.").waitFor();
    await said("is taken to hold with the probe as it is now");
    await button("close").click();
    assert.equal(await page.locator(".choice-doubt").count(), 0);
});

test("what was done but not recorded, and a daemon that does not tell of probes, are said", async () => {
    await open("probes_fine");
    await one("bean");
    await button(/^it was wiped/).click();
    await button("wiped").click();
    await field("your name").fill("Ines");
    station.answer = () => ({ status: 202, body: { recorded: false, text: "It is not in the record yet: that is failing and will be tried again." } });
    await button("bean was wiped").click();
    await said("Acted, but not recorded. It is not in the record yet");
    await button("close").click();
    station.no_probes = true;
    await page.locator(".corner").getByRole("button", { name: "probes…" }).click();
    await sheet().getByText("The daemon does not tell of them now.").waitFor();
});

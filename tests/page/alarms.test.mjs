// Everything of alarms on the page, in a real browser against a scripted station whose answers the test decides.
import assert from "node:assert/strict";
import { test } from "node:test";
import { anew, button, each_with, heard, page, posts, sheet, station, text_of, visit } from "./support/bench.mjs";
import { kAside, kDue, kNoFigures, kReminders, kSounders } from "./support/scripted_alarms.mjs";
import { kStates } from "./support/scripted_roast.mjs";

each_with("roasting");

const open = (state, options) => visit(kStates[state], options);
const detail = () => page.locator(".corner .alarm-open").click();
/** Waits for so many: the page is drawn at most once a frame. */
async function counted(locator, count) {
    for (const deadline = Date.now() + 20_000; (await locator.count()) !== count; await page.waitForTimeout(20)) assert.ok(Date.now() < deadline, `${await locator.count()} for ${count}`);
}

test("an alarm's own sheet: what to do first and largest, then causes, consequence, time, owner, value and limit", async () => {
    await open("drift");
    await detail();
    const size = (selector) => sheet().locator(selector).evaluate((each) => Number.parseFloat(getComputedStyle(each).fontSize));
    assert.match(await text_of(sheet().locator(".do-first")), /^Look at the next planned move/);
    for (const other of ["dd", ".alarm-state", ".no-safety"]) assert.ok((await size(".do-first")) > 1.3 * (await size(`${other} >> nth=0`)), other);
    const told = await text_of(sheet().locator("dl"));
    assert.match(told, /likely causes a move that was missed, .*; a cold machine if nobody acts the batch needs a cup, or is held/);
    assert.match(told, /begin within 30 s whose it is operator; tolerance: head roaster measured 2.9 °C, limit 2.2 °C$/);
    assert.match(await text_of(sheet().locator(".alarm-state")), /^medium, not acknowledged, since 21 s$/);
    assert.match(await text_of(sheet().locator(".no-safety")), /^This is no safety function\. The machine's own limiter and manual and the site's plan come first\./);
    await button(/^acknowledge$/).click();
    await heard("/api/alarms/7/acknowledge");
    station.state = { ...kStates.roasting };
    await sheet().getByText("This alarm is no longer present").waitFor();
});

test("a latched alarm is reset from its sheet, and a refusal is said there in the daemon's words", async () => {
    await open("latched");
    station.answer = () => ({ status: 409, body: { detail: "the condition still holds: it can't be reset yet" } });
    await detail();
    await button(/^reset$/).click();
    await heard("/api/alarms/9/reset");
    await sheet().getByText("Not done: the condition still holds: it can't be reset yet").waitFor();
});

test("shelving asks for a reason, takes 10 min unless told otherwise, and ends in the list with the time left", async () => {
    await open("drift");
    await detail();
    await button("shelve for a while…").click();
    assert.ok(await button("shelve for 10 min").isDisabled());
    await button("trial roast").click();
    station.answer = () => {
        station.state = { ...kStates.shelved, aside: [{ ...kAside[0], rule: "drift", title: "drift from the target", since_s: 0, back_in_s: 600 }] };
        return { status: 200, body: { recorded: true, text: "" } };
    };
    await button("shelve for 10 min").click();
    assert.deepEqual(await heard("/api/alarms/shelve"), { rule: "drift", minutes: 10, text: "trial roast" });
    await sheet().getByText(/^shelved for 0\ss, by Jory: back in 10\smin at the latest$/).waitFor();
    station.answer = () => {
        station.state = { ...kStates.roasting };
        return { status: 200, body: { recorded: true, text: "" } };
    };
    await button("unshelve").click();
    assert.deepEqual(await heard("/api/alarms/unshelve"), { rule: "drift" });
    await sheet().getByText("Nothing is put aside").waitFor();
});

test("another time, own words and a name go with it; the daemon's refusal is said and nothing is lost", async () => {
    await open("drift");
    station.answer = () => ({ status: 409, body: { title: "Conflict", detail: "it is latched: acknowledge and reset it first" } });
    await detail();
    await button("shelve for a while…").click();
    await button("30 min").click();
    await sheet().getByLabel("or in your own words").fill("small batch");
    await sheet().getByLabel(/^your name/).fill("Jory");
    await button("shelve for 30 min").click();
    assert.deepEqual(await heard("/api/alarms/shelve"), { rule: "drift", minutes: 30, text: "small batch", who: "Jory" });
    await sheet().getByText("Not done: it is latched: acknowledge and reset it first").waitFor();
    assert.equal(await sheet().getByLabel("or in your own words").inputValue(), "small batch");
});

test("what the daemon would refuse is not offered", async () => {
    for (const state of ["two_alarms", "probe_lost", "latched"]) {
        await open(state);
        await detail();
        await sheet().getByText("It can't be put aside now.").waitFor();
        assert.equal(await button(/shelve|out of service/).count(), 0, state);
        await anew("roasting");
    }
    await open("fault_latched"); // latched, but no danger: out of service only
    await detail();
    await button(/^take out of service/).waitFor();
    assert.equal(await button(/^shelve/).count(), 0);
});

test("out of service needs a name and a reason, and a named person puts it back", async () => {
    await open("drift");
    await detail();
    const [shelve, take] = await Promise.all([button(/^shelve for/), button(/^take out/)].map((each) => each.evaluate((it) => [getComputedStyle(it).borderTopStyle, Number.parseFloat(getComputedStyle(it).fontSize)])));
    assert.ok(take[0] === "dotted" && shelve[0] === "solid" && take[1] < shelve[1], "plainly the lesser of the two");
    await button(/^take out of service/).click();
    const act = button("take it out of service");
    await sheet().getByLabel("why").fill("the target is being made");
    assert.ok(await act.isDisabled());
    await sheet().getByLabel("your name").fill("Ines");
    station.answer = () => {
        station.state = { ...kStates.roasting, aside: [kAside[1]] };
        return { status: 200, body: { recorded: true, text: "" } };
    };
    await act.click();
    assert.deepEqual(await heard("/api/alarms/out-of-service"), { rule: "drift", text: "the target is being made", who: "Ines" });
    await sheet().getByText(/^out of service for 25\sh 0\smin, by Ines: until a named person puts it back$/).waitFor();
    const back = button("return to service");
    assert.ok(await back.isDisabled());
    await sheet().getByLabel("your name").fill("Jory");
    await back.click();
    assert.deepEqual(await heard("/api/alarms/return-to-service"), { rule: "disk_low", who: "Jory" });
});

test("put aside and a failed sounder are seen without opening anything, by sign and words, and lead to their lists", async () => {
    await open("all_at_once");
    const side = page.locator(".corner-side");
    assert.match(await text_of(side), /^2 more: 1 medium, 1 low 3 put aside sounder 2 failed$/);
    assert.deepEqual(await side.locator(".aside-mark").evaluateAll((all) => all.map((each) => each.dataset.mark)), ["clock", "mute"]);
    await page.getByText("Independent limiter: none stated.").waitFor();
    await side.click();
    await button(/^3 put aside: 1 shelved, 1 out of service, 1 suppressed$/).click();
    const rows = sheet().locator(".aside-row");
    await counted(rows, 3);
    assert.deepEqual(await rows.evaluateAll((all) => all.map((each) => [each.dataset.state, each.querySelector(".aside-mark").dataset.mark])), [["shelved", "clock"], ["out_of_service", "cross"], ["suppressed", "link"]]);
    await sheet().getByText(/suppressed for 19\ss: its probe has a fault: see that alarm/).waitFor();
    await button("sounders").click();
    await sheet().getByText("sounder 2: failed").waitFor();
});

test("put aside alone leads straight to its list, also with nothing wrong", async () => {
    await open("shelved");
    await page.getByRole("button", { name: "1 put aside" }).click();
    await sheet().getByText("“trial roast”").waitFor();
    await page.keyboard.press("Escape");
    await counted(sheet(), 0);
});

test("in a flood the high ones stay listed, the lower ones are a count that opens and shuts", async () => {
    await open("flood");
    assert.match(await text_of(page.locator(".corner-side")), /^flood of alarms 10: 2 high, 3 medium, 5 low$/);
    const also = await page.locator(".corner .alarm-also").allInnerTexts();
    assert.deepEqual(also.map((each) => each.replaceAll("\u00a0", " ")), ["also high: bean probe: open circuit", "also high: no answer from the bus of bean, exhaust, burner, airflow"]);
    await page.locator(".corner-side").click();
    const listed = sheet().locator(".alarm.listed");
    await counted(listed, 3);
    await counted(sheet().locator(".alarm.listed.high"), 3);
    await button("show 8 lower: 3 medium, 5 low").click();
    await counted(listed, kStates.flood.alarms.length);
    await button("hide 8 lower: 3 medium, 5 low").click();
    await counted(listed, 3);
    station.state = { ...kStates.flood, flood: false };
    await sheet().getByText("Flood of alarms:").waitFor({ state: "detached" });
    await counted(listed, kStates.flood.alarms.length);
});

test("figures: what is not met comes first, each beside its benchmark; by day, by roast, by rule; the period is asked for", async () => {
    await open("ready");
    await page.getByRole("button", { name: "alarms…" }).click();
    await button("figures").click();
    await sheet().getByText("214 alarms in 170 h 0 min watched; 3 of 6 benchmarks not met.").waitFor();
    assert.ok(station.urls.includes("/api/alarms/figures"));
    const stands = await sheet().locator("tbody tr").evaluateAll((all) => all.map((each) => [each.dataset.stand, each.lastChild.textContent]));
    assert.deepEqual(stands.slice(0, 5), [["beyond", "✕ not met"], ["beyond", "✕ not met"], ["beyond", "✕ not met"], ["look", "◇ worth a look"], ["within", "✓ met"]]);
    assert.match(await text_of(sheet().locator(".bad-actor").first()), /^drift, 3 times: it came and went .* Consider a longer off-delay or a wider deadband\.$/);
    await button("by day").click();
    assert.match(await text_of(sheet().locator("tbody tr").first()), /^25 November 2026 4 h 0 min 31 1\.29 2 high, 12 medium, 17 low 1$/);
    await sheet().getByText("Flood on 25 November 2026 from 10:23 to 10:36: 13 alarms.").waitFor();
    await button("by roast").click();
    assert.match(await text_of(sheet().locator("tbody tr").first()), /^11 25 November 2026, 10:21 4 1 high, 2 medium, 1 low no$/);
    await button("by rule").click();
    assert.match(await text_of(sheet().locator("tbody tr").first()), /^drift 90 42 % 3 7 0 9$/);
    station.figures = kNoFigures;
    await button("7 days").click();
    await sheet().getByText("The record holds no watch yet.").waitFor();
    assert.ok(station.urls.includes("/api/alarms/figures?from=2026-11-19"), "six days before the 25th, and it");
    station.figures = null;
    await button("today").click();
    await sheet().getByText("The daemon does not give the figures now.").waitFor();
});

test("sounders: state, last test and why it failed; a test now, and what the daemon says to it", async () => {
    await open("sounder_failed");
    await page.getByRole("button", { name: "sounder 2 failed" }).click();
    const rows = sheet().locator(".aside-row");
    assert.match(await text_of(rows.nth(0)), /^sounder 1: works a coil on a bus, tested on 25 November 2026 at 06:30$/);
    assert.match(await text_of(rows.nth(1)), /^sounder 2: failed the line can't be had: used by another program a line of the box, not tested since the start$/);
    station.answer = () => ({ status: 409, body: { detail: "an alarm sounds: no test now" } });
    await button("test them all now").click();
    await heard("/api/sounders/test");
    await sheet().getByText("Not done: an alarm sounds: no test now").waitFor();
    station.answer = () => ({ status: 200, body: { recorded: true, text: "the sounders are tested one after the other" } });
    await button("test them all now").click();
    await sheet().getByText("the sounders are tested one after the other").waitFor();
    station.state = { ...kStates.roasting, sounders: kSounders };
    await sheet().getByText("sounder 2: works").waitFor();
});

test("whether it can be heard is walked through step by step, judged, and kept on this tablet alone, which is said", async () => {
    await open("sounder_failed");
    await page.getByRole("button", { name: "sounder 2 failed" }).click();
    const walk = async (noise, alarm, heard_by_all) => {
        await button(/check the loudness/).click();
        await sheet().getByText("Stand where the operator stands").waitFor();
        await button("next").click();
        assert.ok(await button("next").isDisabled());
        await sheet().getByLabel("noise, dB(A)").fill(noise);
        await button("next").click();
        await button("test them all now").click();
        await sheet().getByLabel("with the sounder, dB(A)").fill(alarm);
        await button("next").click();
        assert.equal(await sheet().getByLabel("most that is allowed here, dB(A)").inputValue(), "90");
        await button(heard_by_all ? "yes, all" : "no").click();
        await button("what came of it").click();
    };
    await walk("74", "86", true);
    await sheet().getByText("✕ It won't do: 86 dB(A) in 74 dB(A) of noise.").waitFor();
    await sheet().getByText("It is 12 dB(A) over the noise; at least 15 are asked for.").waitFor();
    await sheet().getByText("This is kept on this tablet only:").waitFor();
    await button("back to the sounders").click();
    await walk("72,5", "88", true);
    await sheet().getByText("✓ It will do: 88 dB(A) in 72.5 dB(A) of noise.").waitFor();
    await page.reload();
    await page.getByRole("button", { name: "sounder 2 failed" }).click();
    await button(/check the loudness/).click();
    await sheet().getByText(/Last time, on 25 November 2026, kept on this tablet only: ✓ It will do/).waitFor();
    assert.equal(station.posts.filter((each) => !each.path.startsWith("/api/sounders")).length, 0);
});

test("the independent limiter: none stated is a standing notice, a due test too; a stated one is told where it is asked for", async () => {
    const none = "No independent high-limit control is stated for this machine.";
    const stated = "Independent high-limit control at bean, 245 °C.";
    const rows = [
        [none, kReminders, "Independent limiter: none stated.", none],
        [undefined, undefined, "Independent limiter: none stated.", none],
        [stated, kDue, "Independent limiter: test due.", `${stated} Last tested 12 months ago; a test is due every 12 months. Its test is due.`],
        [stated, kReminders, "", `${stated} Last tested 7 months ago; a test is due every 12 months.`],
    ];
    for (const [limiter, reminders, on_screen, in_sheet] of rows) {
        await visit({ ...kStates.roasting, limiter, reminders });
        const foot = await text_of(page.locator("button.safety"));
        assert.equal(foot, `Watches only: no safety device.${on_screen ? ` ${on_screen}` : ""}`);
        await page.locator("button.safety").click();
        assert.ok((await text_of(sheet())).includes(in_sheet), await text_of(sheet()));
        await anew("roasting");
    }
});

test("with the daemon lost nothing can be tapped in a sheet, and it says that it is as last heard", async () => {
    await open("put_aside");
    await page.getByRole("button", { name: "3 put aside" }).click();
    station.mute = true;
    station.cut();
    await sheet().getByText("No live data: this is as last heard.").waitFor();
    assert.ok(await button("unshelve").isDisabled());
    station.mute = false;
});

test("what care of the machine is due stands beside the last batches, and is done under a name", async () => {
    await open("care_due");
    await page.getByRole("button", { name: "2 due: empty the chaff bin" }).click();
    const rows = sheet().locator(".aside-row");
    await counted(rows, 3);
    assert.match(await text_of(rows.nth(0)), /^due: empty the chaff bin 7 of 6 batches last done on 24 November 2026 by Ines done$/);
    assert.match(await text_of(rows.nth(1)), /^due: test of the independent high-limit control 12 of 12 months/);
    const done = rows.nth(0).getByRole("button", { name: "done" });
    assert.ok(await done.isDisabled(), "nobody has given a name");
    await sheet().getByLabel("your name").fill("Ines");
    station.answer = () => ({ status: 200, body: { recorded: true, text: "Noted, and counted anew from now on." } });
    await done.click();
    assert.deepEqual(await heard("/api/reminders/done"), { name: "empty the chaff bin", who: "Ines" });
    await sheet().getByText("Noted, and counted anew from now on.").waitFor();
});

test("without a reminder there is no button for care", async () => {
    await open("ready");
    station.state = { ...kStates.ready, reminders: [] };
    await page.getByText("last batches: tap for reasons and weight").waitFor();
    assert.equal(await page.getByRole("button", { name: /care|due/ }).count(), 0);
});

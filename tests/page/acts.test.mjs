// What a hand does to the page, in a real browser against a scripted station whose answers the test decides.
import assert from "node:assert/strict";
import { after, afterEach, before, beforeEach, test } from "node:test";
import { dist_dir, launch, open_page } from "./support/browser.mjs";
import { kStates } from "./support/scripted_roast.mjs";
import { Station } from "./support/station.mjs";

let browser;
let station;
let url;
let page;

before(async () => {
    browser = await launch();
});
after(async () => {
    await browser?.close();
});
beforeEach(async () => {
    station = new Station(dist_dir(), kStates.roasting);
    url = await station.start();
});
afterEach(async () => {
    await page?.context().close();
    page = undefined;
    await station.stop();
});

const button = (name) => page.getByRole("button", { name });
const posts = (path) => station.posts.filter((each) => each.path === path);
/** Waits until it is so; the deadline only stops a hang. */
const until = async (so) => {
    for (const deadline = Date.now() + 20_000; !so(); await page.waitForTimeout(20)) assert.ok(Date.now() < deadline, String(so));
};
const heard = async (path, count = 1) => {
    await until(() => posts(path).length >= count);
    return posts(path);
};

test("first crack is marked with one tap and taken back with another", async () => {
    page = await open_page(browser, url);
    await button(/first crack heard now/).click();
    const [post] = await heard("/api/marks");
    assert.equal(post.body.mark, "first_crack");
    assert.match(post.body.client_id, /^[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/);
    assert.deepEqual([post.header, post.type], ["1", "application/json"]);
    const undo = button(/^undo/);
    await undo.waitFor();
    await undo.click(); // at once: a double tap must not undo what it did
    assert.equal(posts("/api/marks/withdraw").length, 0);
    await page.waitForFunction(() => /[89] s/.test(document.querySelector(".mark.undo")?.innerText ?? ""));
    await undo.click();
    const [back] = await heard("/api/marks/withdraw");
    assert.equal(back.body.mark, "first_crack");
    await button(/first crack heard now/).waitFor();
});

test("undo goes away by itself after ten seconds", async () => {
    page = await open_page(browser, url);
    const begin = Date.now();
    await button(/first crack heard now/).click();
    await button(/^undo/).waitFor();
    await button(/^undo/).waitFor({ state: "detached", timeout: 15_000 });
    const took = Date.now() - begin;
    assert.ok(took > 9500 && took < 12_500, String(took));
});

test("a mark whose answer was lost is sent again with the same id", async () => {
    page = await open_page(browser, url);
    let first = true;
    station.answer = () => {
        if (!first) return { status: 200, body: { recorded: true, text: "" } };
        first = false;
        return null;
    };
    await button(/first crack heard now/).click();
    const both = await heard("/api/marks", 2);
    assert.equal(both[0].body.client_id, both[1].body.client_id);
    await button(/^undo/).waitFor();
});

test("acted but not recorded is said", async () => {
    page = await open_page(browser, url);
    station.answer = () => ({ status: 202, body: { recorded: false, text: "The disk is full." } });
    await button(/first crack heard now/).click();
    await page.getByText("Acted, but not recorded. The disk is full.").waitFor();
});

test("a refusal is said and offers no undo", async () => {
    page = await open_page(browser, url);
    station.answer = () => ({ status: 409, body: { title: "Conflict", detail: "First crack is marked already." } });
    await button(/first crack heard now/).click();
    await page.getByText("Not done: First crack is marked already.").waitFor();
    assert.equal(await button(/^undo/).count(), 0);
});

test("an alarm is acknowledged by the number of its occurrence, and silence is another thing", async () => {
    station.state = { ...kStates.drift };
    page = await open_page(browser, url);
    await button("silence").click();
    await heard("/api/alarms/silence");
    assert.equal(posts("/api/alarms/7/acknowledge").length, 0);
    await button(/^acknowledge$/).click();
    await heard("/api/alarms/7/acknowledge");
    station.state = { ...kStates.drift_acknowledged };
    await page.getByText("medium, acknowledged").waitFor();
    assert.equal(await button(/^acknowledge$/).count(), 0);
});

test("other alarms are one tap away, each with its own buttons", async () => {
    station.state = { ...kStates.two_alarms };
    page = await open_page(browser, url);
    await button("2 more: 1 medium, 1 low").click();
    const dialog = page.getByRole("dialog");
    await dialog.waitFor();
    assert.equal(await dialog.locator(".alarm").count(), 3);
    await dialog.getByRole("button", { name: /^acknowledge$/ }).nth(1).click();
    await heard("/api/alarms/4/acknowledge");
});

test("a lost daemon is said plainly, numbers become dashes, commands wait, and all comes back by itself", async () => {
    page = await open_page(browser, url);
    const number = page.locator("[data-glance=deviation]");
    assert.match(await number.innerText(), /^[+−±]\d/);
    station.mute = true;
    station.cut();
    await page.getByText(/NO LIVE DATA for [3-9] s/).waitFor();
    for (const each of await page.locator("[data-glance]").allInnerTexts()) assert.doesNotMatch(each, /\d/);
    assert.ok(await page.locator(".mark").isDisabled());
    const width = () => page.locator(".middle .gap").last().evaluate((each) => each.getBoundingClientRect().width);
    const before = await width();
    await page.getByText(/NO LIVE DATA for (8|9) s/).waitFor();
    assert.ok((await width()) > before);
    station.mute = false;
    await page.getByText(/NO LIVE DATA/).waitFor({ state: "detached", timeout: 15_000 });
    assert.match(await number.innerText(), /^[+−±]\d/);
    assert.ok(station.urls.some((each) => each.startsWith("/api/live?after=3-")));
    assert.ok(await page.locator(".mark").isEnabled());
});

test("a hidden page closes its stream and catches up when it is seen again", async () => {
    page = await open_page(browser, url);
    const hide = (hidden) =>
        page.evaluate((value) => {
            Object.defineProperty(document, "hidden", { configurable: true, get: () => value });
            document.dispatchEvent(new Event("visibilitychange"));
        }, hidden);
    await hide(true);
    await until(() => station.streams.size === 0);
    await hide(false);
    await until(() => station.streams.size > 0);
    assert.match(station.urls.filter((each) => each.startsWith("/api/live")).pop(), /after=3-\d+/);
});

test("degrees Fahrenheit and the dark paper are chosen once and remembered", async () => {
    page = await open_page(browser, url);
    const bean_c = Number(await page.locator("[data-glance=bean]").innerText());
    await button("settings").click();
    await button("°F").click();
    await button("dark").click();
    await button("close").click();
    await page.reload();
    await page.waitForSelector("[data-glance=bean]");
    const bean_f = Number(await page.locator("[data-glance=bean]").innerText());
    assert.ok(Math.abs(bean_f - (bean_c * 9) / 5 - 32) < 3, `${bean_c} ${bean_f}`);
    assert.equal(await page.evaluate(() => document.documentElement.dataset.theme), "dark");
    assert.match(await page.locator(".left .label").first().innerText(), /°F/);
});

test("why is one tap away", async () => {
    page = await open_page(browser, url);
    await page.locator(".glance.deviation").click();
    await page.getByText("It is judged from 2:30 after charge").waitFor();
    await button("close").click();
    await page.getByTitle("why this move").click();
    await page.getByText("Up to 10 s early or late is on time.").waitFor();
    await button("close").click();
    await page.getByTitle("what these numbers are counted from").click();
    await page.getByText("Charge at 0:00").waitFor();
    await button("close").click();
    await page.getByTitle("why this drop").click();
    const drop = await page.getByText(/^The target is dropped/).innerText();
    assert.match(drop, /Dropped\sthen,\sit\shas\s\d+:\d\d\sof\sdevelopment/);
    await button("close").click();
    await page.getByTitle("why this forecast").click();
    await page.getByText("It counts on first crack at 198.0 °C (spread 1.5 °C)").waitFor();
    await button("close").click();
    await button("Watches only: no safety device.").click();
    await page.getByText("Independent high-limit control at bean, 245 °C.").waitFor();
    await page.getByText("not burner management, not a high-limit control, not fire or gas detection").waitFor();
});

test("the next target is chosen between roasts", async () => {
    station.state = { ...kStates.not_ready };
    page = await open_page(browser, url);
    await page.locator(".choice", { hasText: "Fen Meadow, washed" }).click();
    const [post] = await heard("/api/target");
    assert.equal(post.body.name, "fen-meadow-washed");
    await button(/^no target/).click();
    assert.equal((await heard("/api/target", 2))[1].body.name, null);
});

test("a target made of a roast names no coffee: its own name stands there", async () => {
    station.targets = [{ name: "second-try", version: 1, status: "trial", coffee: "", charge_kg: null, chosen: true }];
    station.roasts = [{ id: 3, state: "judged", coffee: "", charged_utc: "2026-11-25T10:21:00Z", roast_s: 655, verdict: null }];
    station.state = { ...kStates.not_ready, target: true, coffee: "", name: "second-try" };
    page = await open_page(browser, url);
    await page.locator(".choice-name", { hasText: "second-try" }).waitFor();
    await page.locator("header", { hasText: "second-try" }).waitFor();
    await page.getByText("no coffee named").waitFor();
});

test("a batch opens with a tap: reasons, and a weight that is recorded with what became of the verdict", async () => {
    station.state = { ...kStates.not_ready };
    page = await open_page(browser, url);
    await button(/^9 .*hold/).click();
    const sheet = page.getByRole("dialog");
    await sheet.getByText("Weight loss is 17.2 %; the target's is 13.5 to 15.5 %.").waitFor();
    await sheet.getByText("The curve alone called for clear.").waitFor();
    await sheet.getByText("charged 12.00 kg, roasted 9.94 kg, weight loss 17.2 %").waitFor();
    const record = sheet.getByRole("button", { name: "record" });
    assert.ok(await record.isDisabled());
    await sheet.getByLabel("roasted, kg").fill("10,2 kg");
    await sheet.getByText("Numbers only, such as 10.26.").waitFor();
    assert.ok(await record.isDisabled());
    await sheet.getByLabel("roasted, kg").fill("10,26");
    await sheet.getByLabel(/^colour/).fill("57");
    station.answer = () => ({ status: 200, body: { recorded: true, text: "Roast 9: recorded. The verdict is clear now; it was hold." } });
    const lists = () => station.urls.filter((each) => each.startsWith("/api/roasts?")).length;
    const before = lists();
    await record.click();
    const [post] = await heard("/api/roasts/9/facts");
    assert.equal(post.body.roasted_kg, 10.26);
    assert.equal(post.body.colour, 57);
    assert.ok(!("charge_kg" in post.body));
    await sheet.getByText("The verdict is clear now; it was hold.").waitFor();
    await until(() => lists() > before);
    station.answer = () => ({ status: 422, body: { detail: "Weight loss is not known: 102.6 kg can't come out of 12 kg; weigh again." } });
    await sheet.getByLabel("roasted, kg").fill("102.6");
    await record.click();
    await sheet.getByText(/weigh again/).waitFor();
    assert.equal(await sheet.getByLabel("roasted, kg").inputValue(), "102.6");
});

test("the verdict of the last batch opens the same sheet, a batch given up has no weight", async () => {
    station.state = { ...kStates.dropped_taste, reminders: [] }; // a fourth row, where nothing is to be cared for
    page = await open_page(browser, url);
    await page.locator(".batch-row", { hasText: "taste" }).waitFor();
    await page.locator(".left .glance").click();
    await page.getByRole("dialog").getByLabel("roasted, kg").waitFor();
    await page.getByRole("dialog").getByRole("button", { name: "close" }).click();
    await button(/^8 .*aborted/).click();
    await page.getByRole("dialog").getByText(/without a target|by fen-meadow/).waitFor();
    assert.equal(await page.getByLabel("roasted, kg").count(), 0);
});

test("first crack heard a while ago, a false charge and a roast given up", async () => {
    page = await open_page(browser, url);
    await button("other…").click();
    await button("10 s ago").click();
    await page.getByRole("dialog").getByRole("button", { name: "first crack" }).click();
    assert.equal((await heard("/api/marks"))[0].body.ago_s, 10);
    await button("other…").click();
    await button("this was no charge").click();
    await heard("/api/roast/not-a-charge");
    await button("other…").click();
    assert.ok(await button("give up").isDisabled());
    await page.getByRole("textbox").fill("power cut; coffee to compost");
    await button("give up").click();
    assert.equal((await heard("/api/roast/abort"))[0].body.text, "power cut; coffee to compost");
});

test("sound waits for a tap and says whether it can be heard", async () => {
    page = await open_page(browser, url);
    await button("tap to arm sound").click();
    await page.getByText("this tablet's sound is armed").waitFor();
});

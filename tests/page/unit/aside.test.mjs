import assert from "node:assert/strict";
import { test } from "node:test";
import { load } from "../support/modules.mjs";
import { kAside, kDue, kFailed, kReminders, kSounders } from "../support/scripted_alarms.mjs";

const aside = await load("aside");
const care = await load("care");
const limiter = await load("limiter");
const alarms = await load("alarms");

test("what is put aside is told with its time, its person and its reason, each with a sign of its own", () => {
    const words = kAside.map((each) => aside.aside_words(each));
    assert.deepEqual(words, [
        "shelved for 95 s, by Jory: back in 8 min at the latest",
        "out of service for 25 h 0 min, by Ines: until a named person puts it back",
        "suppressed for 19 s: its probe has a fault: see that alarm",
    ]);
    assert.equal(new Set(kAside.map((each) => aside.aside_shape(each.state))).size, 3);
    assert.match(aside.aside_words({ ...kAside[0], who: "" }), /nobody named/);
    assert.match(aside.aside_words({ ...kAside[0], back_in_s: 12 }), /back in 12 s at the latest/);
});

test("shelved ones come first, the one that comes back soonest before the others", () => {
    const soon = { ...kAside[0], rule: "drift", back_in_s: 30 };
    const order = aside.aside_in_order([kAside[2], kAside[1], kAside[0], soon]).map((each) => each.rule);
    assert.deepEqual(order, ["drift", "stall", "disk_low", "exhaust_high"]);
});

test("counts are plain words, and nothing is said of none", () => {
    assert.equal(aside.aside_count([]), "");
    assert.equal(aside.aside_count(kAside), "3 put aside");
    assert.equal(aside.aside_kinds(kAside), "1 shelved, 1 out of service, 1 suppressed");
    assert.equal(aside.aside_kinds(kAside.slice(1, 2)), "1 out of service");
    assert.equal(aside.failed_words(undefined), "");
    assert.equal(aside.failed_words(kSounders), "");
    assert.equal(aside.failed_words(kFailed), "sounder 2 failed");
    assert.equal(aside.failed_words(kSounders.map((each) => ({ ...each, working: false }))), "2 sounders failed");
});

test("the usual time on the shelf is offered, and none beyond what the daemon allows", () => {
    assert.ok(aside.kShelfMinutes.includes(aside.kShelfUsual));
    assert.equal(aside.kShelfUsual, 10);
    assert.equal(Math.max(...aside.kShelfMinutes), 30);
    // The daemon takes reasons of 1 to 500 characters (web/server/openapi.json).
    for (const reason of aside.kShelfReasons) assert.ok(reason.length > 0 && reason.length <= 500);
});

test("time allowed and values carry their units, and what is not measured is left out", () => {
    assert.equal(aside.allowed_words({ time_allowed_s: 0 }), "at once");
    assert.equal(aside.allowed_words({ time_allowed_s: 300 }), "within 5 min");
    assert.equal(aside.allowed_words({}), "");
    assert.equal(aside.measured_words(246.24, "°C"), "246.2 °C");
    assert.equal(aside.measured_words(-2.9, "°C"), "−2.9 °C");
    assert.equal(aside.measured_words(35.2, "ppm"), "35 ppm");
    assert.equal(aside.measured_words(null, "°C"), "");
    assert.equal(aside.measured_words(1, ""), "");
});

test("a flood folds what is not high; without a flood, or with one alarm, nothing is folded", () => {
    const list = ["low", "high", "medium", "high"].map((priority, id) => ({ id, priority, state: "unacknowledged", since_s: id, text: "", response: "" }));
    const flood = alarms.split_flood(list, true);
    assert.deepEqual(flood.shown.map((each) => each.priority), ["high", "high"]);
    assert.deepEqual(flood.folded.map((each) => each.priority), ["medium", "low"]);
    assert.equal(alarms.split_flood(list, false).folded.length, 0);
    const lower = list.filter((each) => each.priority !== "high");
    assert.deepEqual(alarms.split_flood(lower, true).shown.map((each) => each.priority), ["medium"], "one is always in sight");
    assert.equal(alarms.split_flood([], true).shown.length, 0);
    assert.equal(alarms.counted_words(list), "2 high, 1 medium, 1 low");
});

test("the independent limiter in words, and when its test is due", () => {
    for (const none of [undefined, "", "No independent high-limit control is stated for this machine."]) {
        assert.equal(limiter.limiter_words(none, kReminders).stated, false, String(none));
        assert.equal(limiter.limiter_words(none, kReminders).short, "Independent limiter: none stated.");
    }
    const sentence = "Independent high-limit control at bean, 245 °C.";
    const words = (reminders) => limiter.limiter_words(sentence, reminders);
    assert.deepEqual(words(undefined), { stated: true, short: "", sentence, note: "" });
    assert.equal(words(kReminders).note, "Last tested 7 months ago; a test is due every 12 months.");
    assert.equal(words(kReminders).short, "");
    assert.equal(words(kDue).short, "Independent limiter: test due.");
    const never = [{ ...kReminders[2], counted: null, due: true }];
    assert.equal(words(never).note, "When it was last tested is not stated.");
});

test("reminders tell their count with its unit, and what is due comes first", () => {
    assert.equal(care.counted_words(kReminders[0]), "3 of 6 batches");
    assert.equal(care.counted_words(kReminders[1]), "121 of 400 kg, and 2 batches that nobody weighed");
    assert.equal(care.counted_words({ ...kReminders[1], counted: 9.25, without_weight: 1 }), "9.3 of 400 kg, and 1 batch that nobody weighed");
    assert.equal(care.counted_words({ ...kReminders[2], counted: null }), "when it was last done is not stated");
    assert.equal(care.done_words(kReminders[1]), "");
    assert.match(care.done_words(kReminders[0]), /^last done on 24 November 2026 by Ines$/);
    assert.deepEqual(care.in_order(kDue).map((each) => each.name[0]), ["e", "t", "c"]);
    assert.equal(care.due_words(kReminders), "machine care");
    assert.equal(care.due_words(kDue), "2 due: empty the chaff bin");
    assert.equal(care.due_words([]), "");
    assert.equal(care.due_words(undefined), "");
});

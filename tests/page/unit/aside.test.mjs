import assert from "node:assert/strict";
import { test } from "node:test";
import { load } from "../support/modules.mjs";
import { kAside, kFailed, kSounders } from "../support/scripted_alarms.mjs";

const aside = await load("aside");
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

test("the independent limiter in words, whatever a build says of it", () => {
    const words = (each, scale = "c") => limiter.limiter_words(each, scale);
    for (const none of [undefined, "", "none stated", "No independent high-limit control is stated for this machine.", { stated: false }, null]) {
        assert.equal(words(none).stated, false, String(none));
        assert.equal(words(none).short, "Independent limiter: none stated.");
    }
    assert.deepEqual(words("Independent high-limit control at bean, 245 °C."), { stated: true, short: "", sentence: "Independent high-limit control at bean, 245 °C.", note: "" });
    const stated = { stated: true, place: "exhaust", setting_c: 260, tested: "2025-10-02", due: false };
    assert.equal(words(stated).sentence, "Independent high-limit control at exhaust, 260 °C.");
    assert.equal(words(stated, "f").sentence, "Independent high-limit control at exhaust, 500 °F.");
    assert.equal(words(stated).note, "Last tested on 2 October 2025.");
    assert.equal(words({ ...stated, due: true }).short, "Independent limiter: test due.");
    assert.equal(words({ stated: true }).note, "When it was last tested is not stated.");
    assert.equal(words({ stated: true }).sentence, "Independent high-limit control.");
});

import assert from "node:assert/strict";
import { test } from "node:test";
import { load } from "../support/modules.mjs";

const words = await load("words");
const units = await load("units");
const plan = await load("plan");

test("temperatures convert by the fixed points of both scales", () => {
    // Definition: 0 °C = 32 °F, 100 °C = 212 °F; -40 is the same in both.
    assert.equal(units.to_scale(0, "f"), 32);
    assert.equal(units.to_scale(100, "f"), 212);
    assert.equal(units.to_scale(-40, "f"), -40);
    assert.equal(units.to_scale(187.4, "c"), 187.4);
});

test("differences and rates convert without the offset", () => {
    assert.equal(units.span_to_scale(10, "f"), 18);
    assert.equal(units.span_from_scale(units.span_to_scale(2.2, "f"), "f"), 2.2);
});

test("deviations always carry a sign and never a negative zero", () => {
    assert.equal(words.signed(0.64), "+0.6");
    assert.equal(words.signed(-2.94), "−2.9");
    assert.equal(words.signed(-0.04), "±0.0");
    assert.equal(words.signed(0), "±0.0");
    assert.equal(words.signed(123.4), "+123");
    assert.equal(words.signed(99.97), "+100");
});

test("what is not known is a dash", () => {
    for (const nothing of [null, undefined, Number.NaN]) {
        assert.equal(words.signed(nothing), "–");
        assert.equal(words.plain(nothing), "–");
        assert.equal(words.minutes_seconds(nothing), "–");
        assert.equal(words.countdown(nothing), "–");
        assert.equal(words.ahead_words(nothing), null);
    }
});

test("plain numbers keep one decimal and lose the sign of zero", () => {
    assert.equal(words.plain(187.42), "187.4");
    assert.equal(words.plain(-0.01), "0.0");
    assert.equal(words.plain(-12.3), "−12.3");
    assert.equal(words.plain(1234.5), "1235");
});

test("minutes and seconds round to the second and carry over", () => {
    assert.equal(words.minutes_seconds(47), "0:47");
    assert.equal(words.minutes_seconds(545), "9:05");
    assert.equal(words.minutes_seconds(59.6), "1:00");
    assert.equal(words.minutes_seconds(3723), "1:02:03");
    assert.equal(words.minutes_seconds(-18), "−0:18");
    assert.equal(words.minutes_seconds(-0.2), "0:00");
});

test("countdowns say in, now and overdue", () => {
    assert.equal(words.countdown(18), "in 0:18");
    assert.equal(words.countdown(0.4), "now");
    assert.equal(words.countdown(-5.2), "overdue 0:05");
});

test("ahead and behind in words", () => {
    assert.deepEqual(words.ahead_words(4.2), { word: "ahead", number: "4", unit: "s" });
    assert.deepEqual(words.ahead_words(-19), { word: "behind", number: "19", unit: "s" });
    assert.deepEqual(words.ahead_words(0.3), { word: "on time", number: "", unit: "" });
    assert.deepEqual(words.ahead_words(-125), { word: "behind", number: "2:05", unit: "" });
});

test("no line ends between a number and what it counts", () => {
    assert.equal(words.unbroken("bean 246.2 °C: over 240.0 °C"), "bean 246.2\u00a0°C: over 240.0\u00a0°C");
    assert.equal(words.unbroken("31 s on end, +1.8 °C at most."), "31\u00a0s on end, +1.8\u00a0°C at most.");
    assert.equal(words.unbroken("ends in 5"), "ends in 5");
});

test("ages in words", () => {
    assert.equal(words.age_words(12.4), "12 s");
    assert.equal(words.age_words(125), "2 min");
    assert.equal(words.age_words(3 * 3600 + 5 * 60), "3 h 5 min");
});

test("levels with their units", () => {
    assert.equal(words.level_words(60, "%"), "60 %");
    assert.equal(words.level_words(3.2, "kPa"), "3.2 kPa");
    assert.equal(words.level_words(4, "step"), "step 4");
});

test("no word of the page is a code", () => {
    for (const quality of ["never_read", "stale", "bus_silent", "open_circuit", "something_new"])
        assert.doesNotMatch(words.quality_words(quality), /_/);
    assert.equal(words.milestone_words("first_crack"), "first crack");
});

test("triggers of moves in words and in the chosen scale", () => {
    assert.equal(plan.trigger_words({ at_s: 510 }, "c"), "at 8:30");
    assert.equal(plan.trigger_words({ bean_c: 150 }, "f"), "at 302 °F");
    assert.equal(plan.trigger_words({ after_first_crack_s: 20 }, "c"), "0:20 after first crack");
});

test("the forecast's interval is told from now and lies on its bar", () => {
    const interval = plan.interval_from_now({ at_s: 545, in_s: 84, low_s: 531, high_s: 562 });
    assert.equal(interval.from_s, 70);
    assert.equal(interval.to_s, 101);
    assert.ok(interval.share_from > 0 && interval.share_from < interval.share_to && interval.share_to < 1);
    const past = plan.interval_from_now({ at_s: 545, in_s: 2, low_s: 531, high_s: 562 });
    assert.equal(past.from_s, 0);
});

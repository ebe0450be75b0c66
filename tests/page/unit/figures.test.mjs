import assert from "node:assert/strict";
import { test } from "node:test";
import { load } from "../support/modules.mjs";
import { kFigures, kNoFigures } from "../support/scripted_alarms.mjs";

const figures = await load("figures");

test("what is not met comes first, in the daemon's order; signs and words differ for each", () => {
    const order = figures.figures_in_order(kFigures.figures);
    assert.deepEqual(order.slice(0, 4).map((each) => each.name), ["most_in_10_minutes", "per_roast", "chattering", "rules_medium"]);
    assert.equal(order.length, kFigures.figures.length);
    assert.equal(new Set(Object.values(figures.kStandSigns)).size, 4);
    assert.equal(new Set(Object.values(figures.kStandWords)).size, 4);
});

test("values keep their unit, whole numbers stay whole, and nothing known is a dash", () => {
    const value = (number, unit = "") => figures.figure_value({ value: number, unit });
    assert.deepEqual([value(13), value(0.214), value(97.23, "%"), value(6.5, "s"), value(null, "s")], ["13", "0.21", "97.2 %", "6.50 s", "–"]);
});

test("the rate is counted on 10 minutes of watched time, and not told of less", () => {
    assert.equal(figures.rate_words(6, 3600), "1.00");
    assert.equal(figures.rate_words(31, 14_400), "1.29");
    assert.equal(figures.rate_words(1, 599), "–");
});

test("the summary counts what is judged and what is missed", () => {
    assert.equal(figures.summary_words(kFigures), "214 alarms in 170 h 0 min watched; 3 of 6 benchmarks not met.");
    assert.equal(figures.summary_words(kNoFigures), "The record holds no watch yet.");
    const good = { ...kFigures, alarms: 1, figures: kFigures.figures.filter((each) => each.stand !== "beyond") };
    assert.equal(figures.summary_words(good), "1 alarm in 170 h 0 min watched; no benchmark missed.");
});

test("priorities in words, without those that did not come", () => {
    assert.equal(figures.by_priority_words({ high: 2, medium: 0, low: 5 }), "2 high, 5 low");
    assert.equal(figures.by_priority_words({ high: 0, medium: 0, low: 0 }), "none");
});

test("days back over the end of a month and of a leap year's February", () => {
    // The calendar: 2024 is a leap year, 2026 is none.
    assert.equal(figures.day_before("2026-12-01T12:00:00Z", 1), "2026-11-30");
    assert.equal(figures.day_before("2024-03-01T12:00:00Z", 1), "2024-02-29");
    assert.equal(figures.day_before("2026-03-01T12:00:00Z", 1), "2026-02-28");
    assert.equal(figures.day_before("2026-11-25T12:00:00Z", 0), "2026-11-25");
});

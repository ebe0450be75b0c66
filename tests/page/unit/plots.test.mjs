import assert from "node:assert/strict";
import { test } from "node:test";
import { load } from "../support/modules.mjs";
import { history_of, kNormal, kPoints, kTarget, status_of } from "../support/scripted_roast.mjs";

const axis = await load("axis");
const corridor = await load("corridor");
const history = await load("history");
const labels = await load("labels");
const path = await load("path");

test("the axis opens in steps and says so", () => {
    assert.equal(axis.choose_axis(0.5, "c").limit, 3);
    assert.equal(axis.choose_axis(3, "c").limit, 3);
    assert.equal(axis.choose_axis(3.1, "c").limit, 6);
    assert.equal(axis.choose_axis(-7, "c").limit, 12);
    assert.equal(axis.choose_axis(0.5, "c").opened, false);
    assert.equal(axis.choose_axis(4, "c").opened, true);
    assert.deepEqual(
        [axis.choose_axis(30, "c").limit, axis.choose_axis(30, "c").beyond],
        [12, true],
    );
});

test("in degrees Fahrenheit the axis has round limits of its own", () => {
    const found = axis.choose_axis(2.5, "f");
    assert.equal(found.limit, 5);
    assert.ok(Math.abs(found.limit_c - 25 / 9) < 1e-9);
});

test("ticks of the axis are even, in pairs and inside it", () => {
    for (const largest of [1, 5, 11])
        for (const scale of ["c", "f"]) {
            const { ticks, limit } = axis.choose_axis(largest, scale);
            assert.ok(ticks.length >= 2 && ticks.length <= 6);
            assert.equal(ticks.reduce((sum, tick) => sum + tick, 0), 0);
            assert.ok(ticks.every((tick) => Math.abs(tick) < limit));
        }
});

test("temperature ticks are round and few", () => {
    assert.deepEqual(axis.round_ticks(70, 221, 4), [100, 150, 200]);
    assert.ok(axis.round_ticks(158, 430, 4).length <= 5);
});

test("the target is a straight line between its points and ends where they end", () => {
    assert.equal(corridor.target_at(kPoints, 0), 195);
    assert.equal(corridor.target_at(kPoints, 660), 212.8);
    assert.ok(Math.abs(corridor.target_at(kPoints, 555) - 199.3) < 1e-9);
    assert.equal(corridor.target_at(kPoints, 661), null);
    assert.equal(corridor.target_at([], 0), null);
});

test("the corridor is the larger of its width and what the target rises in five seconds", () => {
    // From 180 to 210 s the target rises 12.1 °C in 30 s, 2.02 °C in 5 s; from 540 to 570 s 0.67 °C.
    assert.ok(Math.abs(corridor.corridor_at(kTarget, 195) - 12.1 / 6) < 1e-9);
    assert.equal(corridor.corridor_at(kTarget, 555), 1.1);
});

test("a history continues with the statuses that follow it", () => {
    const one = new history.History();
    one.absorb(history_of(kNormal));
    const before = one.rows.length;
    one.append(status_of({ ...kNormal, at_s: kNormal.at_s + 0.25 }));
    assert.equal(one.rows.length, before + 1);
    const [last, previous] = [one.rows[before], one.rows[before - 1]];
    assert.equal(last.t_ms - previous.t_ms, 250);
    assert.equal(one.charge_ms, 100_000);
});

test("what is sent twice is kept once", () => {
    const one = new history.History();
    one.absorb(history_of(kNormal));
    const before = one.rows.length;
    one.append(status_of(kNormal));
    one.absorb(history_of(kNormal));
    assert.equal(one.rows.length, before);
    assert.ok(one.rows.every((row, i) => i === 0 || row.t_ms > one.rows[i - 1].t_ms));
});

test("what came while the page was hidden is merged in order", () => {
    const whole = history_of(kNormal);
    const cut = whole.t_ms.length - 100;
    const tail = { ...whole, from: whole.from + cut };
    for (const name of ["t_ms", "bean_c", "deviation_c", "corridor_c", "rise_per_min"]) tail[name] = whole[name].slice(cut);
    const one = new history.History();
    one.absorb(history_of({ ...kNormal, at_s: kNormal.at_s - 60 }));
    one.absorb(tail);
    one.absorb(whole);
    assert.equal(one.rows.length, whole.t_ms.length);
});

test("a new watch begins a new history", () => {
    const one = new history.History();
    one.absorb(history_of(kNormal));
    one.append({ ...status_of(kNormal), watch: 4, sequence: 1 });
    assert.equal(one.rows.length, 1);
    assert.equal(one.watch, 4);
});

test("memory of the page is bounded", () => {
    const one = new history.History();
    for (let n = 0; n < 12_400; ++n) one.append({ ...status_of(kNormal), sequence: n });
    assert.ok(one.rows.length <= 12_000 && one.rows.length > 10_800);
});

const row = (t_ms, bean_c, deviation_c = 0) => ({ t_ms, bean_c, deviation_c, corridor_c: 1.1, rise_per_min: 0 });

test("inside is counted from the last time outside, or from the corridor's beginning", () => {
    const rows = [row(0, 180, 0), row(1000, 180, 1.5), row(2000, 180, 0.4), row(9000, 180, 0.2)];
    assert.equal(history.inside_since_s(rows, 10_000, 0), 9);
    assert.equal(history.inside_since_s(rows.slice(2), 10_000, 1500), 8.5);
});

test("gaps are found in the middle and at the end, and a missing reading alone is none", () => {
    const rows = [row(0, 180), row(1000, null), row(5000, null), row(6000, 181), row(6250, null), row(6500, 181), row(7000, null), row(20_000, null)];
    assert.deepEqual(history.gaps(rows, 1500, 3000), [
        { from_ms: 0, to_ms: 6000 },
        { from_ms: 6500, to_ms: 20_000 },
    ]);
});

test("a time without any row is a gap too", () => {
    const rows = [row(0, 180), row(250, 180), row(2500, 180), row(9000, 180)];
    assert.deepEqual(history.gaps(rows, 1500, 3000), [{ from_ms: 2500, to_ms: 9000 }]);
});

test("labels that would touch are left out, the nearest to now first", () => {
    const shown = labels.labels_that_fit(
        [
            { x: 10, width: 30, rank: 3 },
            { x: 30, width: 30, rank: 1 },
            { x: 80, width: 30, rank: 2 },
            { x: 198, width: 30, rank: 0 },
        ],
        2, -20, 200,
    );
    assert.deepEqual(shown, [false, true, true, false]);
});

test("a line is broken where nothing was read and keeps its end", () => {
    const points = [0, 0.1, 0.2, 5, 6, 7].map((x, i) => ({ x, y: i === 3 ? null : 1 }));
    assert.equal(path.line_path(points), "M0.0 1.0L0.2 1.0M6.0 1.0L7.0 1.0");
});

test("an area closes on itself", () => {
    const edges = [{ x: 0, upper: 1, lower: 3 }, { x: 4, upper: 0, lower: 4 }];
    assert.equal(path.area_path(edges), "M0.0 1.0L4.0 0.0L4.0 4.0L0.0 3.0Z");
    assert.equal(path.area_path(edges.slice(1)), "");
});

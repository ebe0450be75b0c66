// The probes in words, what a correction changes, whether a reading stands still, which tip was warmed; and the
// scripted station's answer held against openapi.json by an independent validator, ajv.
import assert from "node:assert/strict";
import { test } from "node:test";
import { load } from "../support/modules.mjs";
import { schema_of } from "../support/openapi.mjs";
import { kKnown, kSite, probes_of } from "../support/scripted_probes.mjs";
import { kStates, kTargetEntries, status_of } from "../support/scripted_roast.mjs";

const calibration = await load("calibration");
const probes = await load("probes");
const readings = await load("readings");
const check = await load("check");
const words = await load("words");
const view = await load("view");
const units = await load("units");
const plain = (text) => text.replaceAll("\u00a0", " ");

const kTwo = [{ reads_c: -0.4, is_c: 0 }, { reads_c: 100.6, is_c: 100 }];

test("what the scripted station tells of its probes and targets fits openapi.json", () => {
    const fits = schema_of("ProbeList");
    const fits_targets = schema_of("TargetList");
    const told = Object.keys(kStates).filter((name) => kStates[name].cold || kStates[name].targets);
    assert.ok(told.length >= 4);
    for (const name of [...told, "roasting", "probe_lost", "noisy"]) {
        assert.ok(fits(probes_of(kStates[name], status_of(kStates[name]).channels)), `${name}: ${JSON.stringify(fits.errors)}`);
        assert.ok(fits_targets({ targets: kStates[name].targets ?? kTargetEntries }), JSON.stringify(fits_targets.errors));
    }
    assert.equal(fits({ probes: [], site: { ...kSite, largest_correction_c: "5" } }), false);
    assert.equal(fits({ probes: [{ channel: "bean" }], site: kSite }), false);
    const channel = schema_of("Channel");
    for (const each of Object.values(status_of(kStates.probes_cold).channels)) assert.ok(channel(each), JSON.stringify(channel.errors));
});

test("every quality and doubt of openapi.json has words of its own", () => {
    const { quality, doubt } = schema_of("Channel").schema.properties;
    for (const name of quality.enum.filter((each) => each !== "good" && each !== "out_of_span")) assert.notEqual(words.quality_words(name), name.replaceAll("_", " "), name);
    assert.ok(quality.enum.includes("short_circuit") && quality.enum.includes("reversed"));
    assert.equal(words.quality_words("short_circuit"), "probe shorted");
    assert.equal(words.quality_words("reversed"), "wires reversed");
    assert.deepEqual(doubt.enum.map(words.doubt_words), ["noisy", "differs from its twin"]);
});

test("a doubt stands where the probe line is, after what gives no reading at all", () => {
    const of = (state) => view.probes_words(status_of(state));
    assert.equal(of(kStates.noisy), "bean noisy");
    assert.equal(of({ ...kStates.noisy, doubt: "apart_from_twin" }), "bean differs from its twin");
    assert.equal(of({ ...kStates.noisy, doubt: undefined }), "probes good");
    assert.equal(of(kStates.probes_cold), "no reading: inlet, drum metal");
    const twin = { value: 21, unit: "°C", quality: "good", age_s: 0, doubt: "apart_from_twin" };
    assert.equal(of({ ...kStates.noisy, channels: { bean_twin: twin } }), "2 probes in doubt");
});

test("a temperature goes to the tablet's scale and back", () => {
    // Definition: 0 °C = 32 °F, 100 °C = 212 °F.
    assert.equal(units.from_scale(32, "f"), 0);
    assert.equal(units.from_scale(212, "f"), 100);
    assert.equal(units.from_scale(99.2, "c"), 99.2);
    assert.equal(calibration.temperature_of("212", "f"), 100);
    assert.equal(calibration.temperature_of(" −0,4 ", "c"), -0.4);
    assert.equal(calibration.temperature_of("-0.4", "c"), -0.4);
    for (const wrong of ["", "-", "warm", "1.2.3", "--1", "1e2"]) assert.equal(calibration.temperature_of(wrong, "c"), null, wrong);
    for (const c of [-0.4, 0, 100.6, 212.345])
        for (const scale of ["c", "f"]) {
            const typed = calibration.typed_of({ reads_c: c, is_c: c }, scale);
            assert.ok(Math.abs(calibration.temperature_of(typed.reads, scale) - c) <= 0.0011, `${c} ${scale}`);
        }
});

test("one point shifts, two make a straight piece, and the ends' corrections hold on beyond them", () => {
    const of = (points, c) => Math.round(calibration.calibrated(points, c) * 1000) / 1000;
    assert.equal(of([], 187.4), 187.4);
    for (const c of [-20, 100.6, 240]) assert.equal(of([{ reads_c: 100.6, is_c: 100 }], c), Math.round((c - 0.6) * 1000) / 1000);
    assert.equal(of(kTwo, -0.4), 0);
    assert.equal(of(kTwo, 100.6), 100);
    assert.equal(of(kTwo, 50.1), 50); // half way: half of +0.4 and half of -0.6
    assert.equal(of(kTwo, -10.4), -10);
    assert.equal(of(kTwo, 200.6), 200);
});

test("what the daemon would refuse of a calibration is said before it is sent", () => {
    const faults = (points, scale = "c") => calibration.calibration_faults(points, 5, scale).map(plain);
    assert.deepEqual(faults(kTwo), []);
    assert.deepEqual(faults([]), []);
    assert.deepEqual(faults([{ reads_c: 105, is_c: 100 }]), []);
    assert.match(faults([{ reads_c: 105.1, is_c: 100 }])[0], /^105\.1 °C for 100\.0 °C is off by more than the 5\.0 °C that/);
    assert.match(faults([{ reads_c: 105.1, is_c: 100 }], "f")[0], /^221\.2 °F for 212\.0 °F is off by more than the 9\.0 °F that/);
    assert.match(faults([{ reads_c: 100, is_c: 100 }, { reads_c: 104.9, is_c: 104 }])[0], /too near each other: at least 5\.0 °C apart/);
    assert.deepEqual(faults([{ reads_c: 100, is_c: 100 }, { reads_c: 105, is_c: 104 }]), []);
    assert.match(faults([{ reads_c: 100, is_c: 104 }, { reads_c: 106, is_c: 103 }])[0], /does not rise/);
    const six = Array.from({ length: 6 }, (_, i) => ({ reads_c: 20 * i, is_c: 20 * i }));
    assert.deepEqual(faults(six), ["At most 5 points."]);
    assert.deepEqual(faults(six.slice(1)), []);
});

test("a check is added to the points there are and takes the place of those too near it", () => {
    const added = calibration.with_point(kTwo, { reads_c: 151.2, is_c: 150, who: "Ines" });
    assert.deepEqual(added, [...kTwo, { reads_c: 151.2, is_c: 150 }]);
    assert.deepEqual(calibration.with_point(kTwo, { reads_c: 99.6, is_c: 99.2 }), [kTwo[0], { reads_c: 99.6, is_c: 99.2 }]);
    assert.deepEqual(calibration.with_point([], { reads_c: 1, is_c: 0 }), [{ reads_c: 1, is_c: 0 }]);
});

test("what will change is said in so many words, in the tablet's unit, differences without the offset", () => {
    const of = (...all) => calibration.change_words("bean", ...all).map(plain);
    const one = [{ reads_c: 100.6, is_c: 100 }];
    assert.deepEqual(of([], one, "c"), ["bean shows 0.6 °C less everywhere from now on."]);
    assert.deepEqual(of([], one, "f"), ["bean shows 1.1 °F less everywhere from now on."]);
    assert.deepEqual(of(one, [], "c"), ["bean shows 0.6 °C more everywhere from now on."]);
    assert.deepEqual(of(one, one, "c"), ["What bean shows stays as it is."]);
    assert.deepEqual(of([], [], "c"), ["What bean shows stays as it is."]);
    assert.deepEqual(of([], kTwo, "c"), ["bean shows 0.4 °C more at 0.0 °C from now on.", "bean shows 0.6 °C less at 100.0 °C from now on."]);
    assert.deepEqual(of(one, kTwo, "c"), ["bean shows 1.0 °C more at 0.0 °C from now on.", "bean shows the same as before at 100.0 °C from now on."]);
});

test("points as they are sent fit openapi.json", () => {
    const fits = schema_of("ProbeCalibration");
    const sent = { client_id: "a", who: "Ines", channel: "bean", ...calibration.point_fields(calibration.points_of([{ reads: "100,6", is: "100" }, { reads: "-0.4", is: "0" }], "c")) };
    assert.deepEqual([sent.reads_1_c, sent.is_1_c, sent.reads_2_c, sent.is_2_c], [-0.4, 0, 100.6, 100]);
    assert.ok(fits(sent), JSON.stringify(fits.errors));
    assert.equal(calibration.points_of([{ reads: "100", is: "" }], "c"), null);
});

test("a check, its age, a correction and an epoch in words", () => {
    const { bean, exhaust } = kKnown;
    assert.equal(plain(probes.calibration_words(bean.calibration, "c")), "corrected: 0.4 °C too low at 0.0 °C, 0.6 °C too high at 100.0 °C");
    assert.equal(plain(probes.calibration_words(bean.calibration, "f")), "corrected: 0.7 °F too low at 32.0 °F, 1.1 °F too high at 212.0 °F");
    assert.equal(probes.calibration_words([], "c"), "taken as they come");
    assert.equal(plain(probes.check_words(exhaust.last_check, [], "c")), "23 October 2026, Ines: comparison, 2.1 °C too low at 151.2 °C");
    assert.match(plain(probes.check_words(bean.last_check, bean.calibration, "c")), /0\.4 °C too high at 99\.2 °C uncorrected, as corrected now 0\.2 °C too low$/);
    assert.equal(probes.check_words(null, [], "c"), "never");
    assert.equal(plain(probes.epoch_words(bean.epoch)), "wiped on 12 October 2026 by Ines");
    assert.equal(plain(probes.epoch_words({ ...bean.epoch, what: "moved", note: "5 mm deeper" })), "moved on 12 October 2026 by Ines: 5 mm deeper");
    assert.equal(probes.epoch_words(null), "not changed since the record began");
    const due = (check_due_days, last_check = bean.last_check) => Object.values(probes.due_of({ check_due_days, last_check })).map((each) => (typeof each === "string" ? plain(each) : each));
    assert.deepEqual(due(null), [false, ""]);
    assert.deepEqual(due(9), [false, "due in 9 days"]);
    assert.deepEqual(due(1), [false, "due in 1 day"]);
    assert.deepEqual(due(0), [true, "due today"]);
    assert.deepEqual(due(-3), [true, "overdue for 3 days"]);
    assert.deepEqual(due(0, null), [true, "due: not checked yet"]);
});

test("the state of a probe: its age, a doubt, and what it lacks; and nothing old passes for live", () => {
    const status = status_of(kStates.probes_cold);
    const told = probes_of(kStates.probes_cold, status.channels);
    const of = (all) => Object.fromEntries(all.probes.map((each) => [each.channel, plain(probes.state_words(each, status))]));
    assert.deepEqual(of(told), {
        bean: "good, 0 s old", exhaust: "good, 0 s old", inlet: "probe shorted, last reading 41 s ago",
        drum_metal: "wires reversed, last reading 41 s ago", bean_twin: "differs from its twin: used all the same, 0 s old",
    });
    const lost = probes.without_readings(told);
    assert.equal(of(lost).bean, "no live data");
    assert.ok(lost.probes.every((each) => each.shows_c === null && each.reads_c === null && each.probe_fault === null));
    assert.deepEqual(lost.probes[0].calibration, told.probes[0].calibration);
});

test("how often a probe was at fault, by the words of its state", () => {
    assert.equal(probes.count_words({}), "");
    assert.equal(plain(probes.count_words({ noisy: 1, open_circuit: 2, stale: 14 })), "noisy once, probe open twice, no new reading 14 times, since the daemon's start");
});

test("what follows a change: only the bean probe's temperatures were learned from", () => {
    const told = (channel, calibration = []) => probes.change_follows({ channel, calibration }).join(" ");
    assert.match(told("bean"), /is learned anew\. Older targets/);
    assert.doesNotMatch(told("exhaust"), /learned|targets/);
    assert.match(told("exhaust", [{ reads_c: 1, is_c: 0 }]), /noted with the day.*Its correction stays/);
});

test("nothing is done to a probe with a batch in the drum or with the daemon lost", () => {
    assert.equal(probes.hindrance(status_of(kStates.probes_cold), true), "");
    assert.match(probes.hindrance(status_of(kStates.probes_cold), false), /^No live data/);
    assert.match(probes.hindrance(status_of(kStates.roasting), true), /^There is a batch in the drum/);
});

test("the boiling point: of the pressure typed in, or of the site's altitude with what the weather makes of it", () => {
    assert.equal(plain(probes.boiling_words(99.19, "c")), "Left empty, it is taken from the site's altitude: 99.2 °C, give or take 0.6 °C with the weather.");
    assert.match(plain(probes.boiling_words(99.19, "f")), /: 210\.5 °F, give or take 1\.1 °F with/);
    assert.match(probes.boiling_words(null, "c"), /the air pressure is needed/);
    assert.equal(probes.pressure_of("985,5"), 985.5);
    for (const wrong of ["", "29.9", "299", "1201", "98550"]) assert.equal(probes.pressure_of(wrong), null, wrong);
});

test("what a check sends, by its method", () => {
    const fits = schema_of("ProbeCheck");
    const nothing = { pressure: "", is: "", note: "" };
    const of = (method, typed, boils = true, scale = "c") => {
        const fields = check.check_fields(method, { ...nothing, ...typed }, boils, scale);
        if (fields) assert.ok(fits({ client_id: "a", who: "Ines", channel: "bean", ...fields }), JSON.stringify(fits.errors));
        return fields;
    };
    assert.deepEqual(of("ice_point", { note: " stirred " }), { method: "ice_point", note: "stirred" });
    assert.deepEqual(of("boiling_point", { pressure: "985.5" }), { method: "boiling_point", pressure_hpa: 985.5 });
    assert.deepEqual(of("boiling_point", {}), { method: "boiling_point" });
    assert.equal(of("boiling_point", {}, false), null);
    assert.equal(of("boiling_point", { pressure: "29.9" }), null);
    assert.deepEqual(of("comparison", { is: "302" }, true, "f"), { method: "comparison", is_c: 150 });
    assert.equal(of("comparison", {}), null);
    for (const guide of Object.values(check.kGuides)) assert.match(guide.caution, /machine off and cool/);
    assert.match(check.kGuides.boiling_point.caution, /scald/);
});

/** One row a second; `of` gives each channel's reading by the second. */
const rows_of = (seconds, of) => {
    let rows = [];
    for (let s = 0; s <= seconds; ++s) rows = readings.with_readings(rows, 1000 * s, Object.entries(of).map(([channel, at]) => ({ channel, reads_c: at(s) })));
    return rows;
};
/** Noise with a seed, so that a failure can be seen again. */
function noise(seed, size) {
    let x = seed;
    return () => {
        x = (x * 48271) % 2147483647; // minimal standard generator (Park and Miller 1988)
        return size * (2 * (x / 2147483647) - 1);
    };
}

test("only the last 20 s are kept, and a clock that went back begins anew", () => {
    const rows = rows_of(60, { bean: (s) => s });
    assert.deepEqual([rows[0].at_ms, rows.at(-1).at_ms, rows.length], [40_000, 60_000, 21]);
    assert.equal(readings.with_readings(rows, 60_000, []).length, 21);
    assert.equal(readings.with_readings(rows, 100, [{ channel: "bean", reads_c: 1 }]).length, 1);
});

test("steady is 15 s within 1.0 °C, as the daemon asks", () => {
    const of = (seconds, at) => readings.steadiness(rows_of(seconds, { bean: at }), "bean");
    assert.equal(of(14, () => 0.2).is, "waiting");
    assert.equal(of(14, () => 0.2).s, 1);
    assert.equal(of(15, () => 0.2).is, "steady");
    assert.equal(of(20, (s) => s / 20).is, "steady");
    assert.equal(of(20, (s) => s / 19).is, "moving");
    assert.equal(of(4, (s) => s).is, "moving");
    assert.equal(of(40, (s) => (s < 15 ? 50 : 0)).is, "steady");
    assert.equal(of(20, (s) => (s === 20 ? null : 0)).is, "unread");
    assert.equal(readings.steadiness([], "bean").is, "unread");
    const moving = of(20, (s) => s / 4);
    assert.equal(plain(readings.steadiness_words(moving, "c")), "not steady: 0.0 to 5.0 °C in the last 20 s, 1.0 °C is allowed");
    assert.equal(plain(readings.steadiness_words(moving, "f")), "not steady: 32.0 to 41.0 °F in the last 20 s, 1.8 °F is allowed");
});

test("the tip that was warmed is found, by its rise against the others", () => {
    const found = (of, seconds = 20) => readings.warmed(rows_of(seconds, of), Object.keys(of));
    const still = () => 21;
    const warm = (to) => (s) => 21 + (s > 8 ? to * (1 - Math.exp(-(s - 8) / 4)) : 0);
    const at_once = found({ bean: warm(9), exhaust: still, inlet: still });
    assert.equal(at_once.words, "It is bean.");
    assert.deepEqual(at_once.rises.map((each) => each.rose), [true, false, false]);
    assert.equal(found({ bean: still, exhaust: still }).words, "None yet.");
    assert.equal(found({ bean: warm(1.5), exhaust: still }).words, "None yet.");
    assert.equal(found({ bean: warm(12), exhaust: warm(3), inlet: still }).words, "It is bean.", "a neighbour's warmth");
    assert.match(found({ bean: warm(9), exhaust: warm(6), drum_metal: still }).words, /^Two rise: bean, exhaust\. Let them cool/);
    assert.match(found({ bean: warm(9), exhaust: warm(6) }).words, /^Two rise: bean, exhaust\./);
    assert.equal(found({ bean: (s) => 21 + s / 4, exhaust: (s) => 30 + s / 4, inlet: (s) => 40 + s / 4 }).words, "All rise together: let the machine cool first.");
    assert.equal(found({ bean: (s) => warm(9)(s) + s / 4, exhaust: (s) => 30 + s / 4, inlet: (s) => 40 + s / 4 }).words, "It is bean.", "all drift, one more");
    assert.equal(found({ bean: warm(9), exhaust: (s) => 60 - s / 2, inlet: still }).words, "It is bean.", "another one cools after its turn");
    assert.equal(found({ bean: (s) => (s === 20 ? 90 : 21), exhaust: still }).words, "None yet.", "one spike says nothing");
    assert.equal(found({ bean: still, exhaust: still }, 4).words, "Wait: not enough readings yet.");
    assert.equal(found({ bean: warm(9) }).words, "It is bean.");
    const open = found({ bean: warm(9), exhaust: () => null });
    assert.deepEqual([open.words, open.rises[1].rise_c], ["It is bean.", null]);
});

test("noise of a usual probe never passes for a warmed tip, and never hides one", () => {
    for (let seed = 1; seed <= 200; ++seed) {
        const of = noise(seed, 0.6);
        const quiet = { bean: () => 21 + of(), exhaust: () => 180 + of(), inlet: () => 21 + of() };
        assert.equal(readings.warmed(rows_of(40, quiet), Object.keys(quiet)).words, "None yet.", `seed ${seed}`);
        const one = { ...quiet, exhaust: (s) => 180 + of() + Math.max(0, s - 30) * 0.6 };
        assert.equal(readings.warmed(rows_of(40, one), Object.keys(one)).words, "It is exhaust.", `seed ${seed}`);
    }
});

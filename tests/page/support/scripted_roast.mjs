// A made-up roast at Saltmarsh Mill in the JSON of the daemon's API, for states of the page that a real roast reaches
// rarely (two alarms, no probe, a held batch). Nothing of the daemon is proved with it: whole_roast.test.mjs runs the
// real one.
import { bus, drift, exhaust, heat, kAside, kDue, kFailed, kFloodAlarms, kReminders, kSounders, kStateAlarms, probe, record } from "./scripted_alarms.mjs";
import { kConfirm, kMoreChannels } from "./scripted_probes.mjs";

// Shape of the target: the reference case of the project's roasting model, probe reading in °C by s since charge.
export const kPoints = [
    [0, 195], [10, 152], [20, 119], [30, 97.9], [45, 82], [60, 76.8], [66, 76.5], [80, 79.5], [100, 85.5], [120, 93.0],
    [150, 106.6], [180, 119.5], [210, 131.6], [240, 142.2], [270, 151.3], [300, 159.2], [330, 165.8], [360, 171.5],
    [390, 176.4], [420, 180.8], [450, 185.0], [480, 189.1], [510, 193.2], [540, 197.3], [570, 201.3], [600, 205.3],
    [630, 209.1], [660, 212.8],
];

export const kTarget = {
    drumwatch_target: 1,
    name: "fen-meadow-washed",
    version: 4,
    status: "approved",
    station: "Saltmarsh Mill, station 2",
    coffee: "Fen Meadow, washed",
    charge_kg: 12,
    points: kPoints,
    milestones: {
        turning_point: { at_s: 66, bean_c: 76.5 },
        yellow: { at_s: 266, bean_c: 150 },
        first_crack: { at_s: 545, bean_c: 198 },
        drop: { at_s: 660, bean_c: 212.8 },
    },
    drop: { bean_c: 212.8 },
    tolerance: { bean_c: 1.1, hold_c: 2.2, rise_s: 5, outside_s: 15, from_s: 150, move_s: 10 },
};

const kMoves = [
    ["burner", 84, 120, 1.0],
    ["burner", 76, 240, 3.2],
    ["airflow", 45, 260, -1.5],
    ["burner", 68, 350, -0.6],
    ["burner", 60, 510, 0.9],
    ["airflow", 60, 550, -1.2],
    ["burner", 52, 604, 1.6],
];

export function at(points, t) {
    const next = points.findIndex(([each]) => each >= t);
    if (next < 0) return points[points.length - 1][1];
    if (next === 0) return points[0][1];
    const [t0, c0] = points[next - 1];
    const [t1, c1] = points[next];
    return c0 + ((c1 - c0) * (t - t0)) / (t1 - t0);
}

const rise = (t) => (at(kPoints, t + 15) - at(kPoints, t - 15)) * 2;
const corridor = (t) => Math.max(1.1, Math.abs(at(kPoints, t + 2.5) - at(kPoints, t - 2.5)));

/** Deviation of the made-up roast: a slow wave, and from `drift_s` on a steady loss of the target. */
function deviation(t, drift_s, drift_per_min) {
    const unrest = 0.04 * Math.sin(t / 1.9) + 0.05 * Math.sin(t / 4.3 + 1) + 0.06 * Math.sin(t / 11.7 + 2);
    const wave = 0.7 * Math.sin(t / 47) + 0.2 * Math.sin(t / 23 + 1) + unrest + (t < 66 ? (66 - t) * 0.05 : 0);
    return wave + (drift_s !== null && t > drift_s ? ((t - drift_s) / 60) * drift_per_min : 0);
}

const kTick = 250;
const kChargeSequence = 400;

export const kNormal = {
    at_s: 492, roast: true, target: true, drift_s: null, drift_per_min: 3, cracked_s: null, alarms: [], bean: "good",
    withheld: false, verdict: null, cooling: null, missing: null, links: [], writing: true, pattern: "off", silenced: false,
    site_card: "Card 3 by the door. Shift lead: bell 2.", overdue: false, by_hand: false, silent: false, prompts: [],
    aside: [], flood: false, sounders: kSounders, reminders: kReminders, limiter: "Independent high-limit control at bean, 245 °C.",
    station: "Saltmarsh Mill, station 2", coffee: "Fen Meadow, washed", name: "fen-meadow-washed",
};

export function sequence_of(state) {
    return kChargeSequence + Math.round((state.at_s * 1000) / kTick);
}

export function history_of(state) {
    const last = sequence_of(state);
    const columns = { watch: 3, from: 1, tick_ms: kTick, t_ms: [], bean_c: [], deviation_c: [], corridor_c: [], rise_per_min: [], roast: [] };
    for (let n = 1; n <= last; ++n) {
        const t = ((n - kChargeSequence) * kTick) / 1000;
        const lost = state.bean !== "good" && t > state.at_s - 22;
        const there = state.roast && t >= 0 && !lost;
        const d = deviation(t, state.drift_s, state.drift_per_min);
        columns.t_ms.push(n * kTick);
        columns.bean_c.push(lost ? null : t >= 0 ? round(at(kPoints, t) + d) : 195);
        columns.deviation_c.push(there && state.target ? round(d) : null);
        columns.corridor_c.push(there && state.target ? round(corridor(t)) : null);
        columns.rise_per_min.push(there ? round(rise(t)) : null);
        columns.roast.push(state.roast && t >= 0 ? 12 : 0);
    }
    columns.charge_ms = state.roast ? kChargeSequence * kTick : null;
    return columns;
}

const round = (x) => Math.round(x * 1000) / 1000;

function milestones_of(state, t) {
    const made = { charge: { at_s: 0, bean_c: 195, source: "detected" } };
    if (t > 75) made.turning_point = { at_s: 66.5, bean_c: 76.4, source: "detected" };
    if (t > 268) made.yellow = { at_s: 264, bean_c: 150.2, source: "mark" };
    if (state.cracked_s !== null) made.first_crack = { at_s: state.cracked_s, bean_c: 198.1, source: "mark" };
    return made;
}

/** With `overdue` nobody touches the burner any more from 500 s on. */
function moves_of(t, overdue, by_hand) {
    return kMoves.map(([control, to, planned_at_s, error_s], planned_index) => {
        const made = t > planned_at_s + error_s && !(overdue && planned_at_s > 500);
        return {
            control, unit: "%", planned_index, planned_to: to, planned_at_s,
            tapped: made && by_hand, made_to: made ? to : null,
            made_at_s: made ? planned_at_s + error_s : null,
            error_s: made ? error_s : null,
            judged: made ? (Math.abs(error_s) > 2 ? (error_s > 0 ? "late" : "early") : "on time") : "waiting",
        };
    });
}

/** How long the made-up roast is outside the corridor by now. */
function outside_for(state, t) {
    let from = t;
    while (from > 150 && Math.abs(deviation(from, state.drift_s, state.drift_per_min)) > corridor(from)) --from;
    return t - from;
}

export function status_of(state) {
    const t = state.at_s;
    const d = deviation(t, state.drift_s, state.drift_per_min);
    const good = state.bean === "good";
    const bean_c = state.roast ? round(at(kPoints, t) + d) : state.cold ? 21 : 196.2;
    const width = round(corridor(t));
    const outside = state.drift_s !== null && Math.abs(d) > width;
    const next = kMoves.findIndex(([, , planned]) => planned > (state.overdue ? 500 : t));
    const crack_at = 545 - d * 4;
    const missing = (unit, quality) => ({ value: null, unit, quality, age_s: 22, rise_per_min: null });
    const level = ({ silent }, value) => (silent ? missing("%", "bus_silent") : channel(value, "%"));
    const channel = (value, unit, per_min) => ({ value, unit, quality: "good", age_s: 0, rise_per_min: per_min });
    const doubted = (one) => (state.doubt ? { ...one, doubt: state.doubt } : one);
    const following = {
        name: state.name, version: 4, status: "approved", coffee: state.coffee, charge_kg: 12, bean_c: null,
        deviation_c: null, ahead_s: null, corridor_c: null, rise_deviation_per_min: null, drift_per_min: null, burner_more: null, judged_now: false,
        outside: false, outside_for_s: 0, leaves_in_s: null,
    };
    if (state.roast)
        Object.assign(following, {
            bean_c: round(at(kPoints, t)), corridor_c: width,
            deviation_c: good ? round(d) : null,
            ahead_s: good && t > 80 ? round((d / rise(t)) * 60) : null,
            rise_deviation_per_min: 0.3, drift_per_min: 0.3, burner_more: state.by_hand ? null : outside ? 8 : 0, judged_now: t >= 150,
            outside: t >= 150 && outside, outside_for_s: outside ? outside_for(state, t) : 0,
        });
    return {
        id: `3-${sequence_of(state)}`, watch: 3, sequence: sequence_of(state), tick_ms: kTick,
        station: state.station, machine: "12 kg drum", build: "0.1.0",
        utc: new Date(Date.UTC(2026, 10, 25, 10, 34) + t * 1000).toISOString(),
        simulated: null, limiter: state.limiter,
        channels: {
            bean: good ? doubted(channel(bean_c, "°C", state.roast ? round(rise(t)) : 0.2)) : missing("°C", state.bean),
            exhaust: state.silent ? missing("°C", "bus_silent") : channel(state.cold ? 21 : 221.4, "°C", state.cold ? 0 : 2.1),
            ...state.channels,
            ...(state.by_hand ? {} : { burner: level(state, 68), airflow: level(state, 45) }),
        },
        roast: state.roast ? { id: 12, elapsed_s: t, smoothed_c: bean_c, milestones: milestones_of(state, t) } : null,
        cooling: state.cooling,
        ready: { to_charge: state.missing?.length === 0, missing: state.missing ?? [], charge_c: 195 },
        target: state.target ? following : null,
        next_move: state.roast && state.target && next >= 0
            ? { index: next, control: kMoves[next][0], to: kMoves[next][1], unit: "%", when: { at_s: kMoves[next][2] }, in_s: kMoves[next][2] - t }
            : null,
        moves: state.roast && state.target ? moves_of(t, state.overdue, state.by_hand === true) : [],
        forecast: state.roast && good && t > 100 && state.cracked_s === null
            ? { first_crack: { at_s: crack_at, in_s: crack_at - t, low_s: crack_at - 14, high_s: crack_at + 17, crack_c: 198, crack_spread_c: 1.5, from_target: true } }
            : null,
        no_forecast: good ? (t <= 100 ? "known from the turning point on" : null) : "no good bean reading",
        drop: state.roast && state.target
            ? { in_s: 660 - t, at_s: 660, development_s: state.cracked_s === null ? null : t - state.cracked_s, development_share: state.cracked_s === null ? null : (t - state.cracked_s) / t }
            : null,
        fan: state.roast && state.target && good && t >= 150
            ? [15, 30, 45, 60, 75, 90].map((in_s) => ({ in_s, low_c: d - in_s * 0.012 + (outside ? in_s * 0.02 : 0), high_c: d + in_s * 0.016 + (outside ? in_s * 0.03 : 0) }))
            : [],
        alarm_flood: state.flood, alarms_put_aside: state.aside, sounders: state.sounders, reminders: state.reminders,
        last_verdict: state.verdict, alarms: state.alarms, prompts: state.prompts, prompts_withheld: state.withheld,
        sounder: { on: false, pattern: state.pattern, silenced: state.silenced },
        record: state.writing ? { writing: true, text: "written 1 s ago" } : { writing: false, text: "the disk is full" },
        links: state.links, site_card: state.site_card,
    };
}

// Reasons in the words of the daemon (daemon/core/verdict_words.cpp).
const kReasons = [
    { rule: "move_off", text: "The move burner to 60 was 45 s late; 10 s is allowed.", value: 44.8, limit: 10, calls_for: "taste" },
    { rule: "outside", text: "The bean was outside the corridor for 31 s on end (15 s is allowed), 1.8 °C hotter than the target at the furthest.", value: 31, limit: 15, calls_for: "taste" },
];
const kHoldReasons = [
    { rule: "far_outside", text: "The bean was far outside the corridor for 74 s on end (15 s is allowed), 4.6 °C cooler than the target at the furthest.", value: 74, limit: 15, calls_for: "hold" },
    { rule: "end_temperature", text: "End temperature is 3.4 °C below the target's; 2.2 °C is allowed.", value: -3.4, limit: 2.2, calls_for: "hold" },
    ...kReasons,
    { rule: "move_missed", text: "The planned move airflow to 60 was not made.", value: null, limit: null, calls_for: "taste" },
];
const kUnjudgedReasons = [
    { rule: "readings_missing", text: "No good reading for 46 s on end; 15 s is allowed.", value: 46, limit: 15, calls_for: "unjudged" },
    { rule: "trial_target", text: "The target is a trial one, not approved after a tasting.", value: null, limit: null, calls_for: "unjudged" },
];

const verdict = (disposition, reasons, since_s) => ({ roast: 11, disposition, reasons, roast_s: 655, since_s });
const kTray = { id: 11, since_s: 45, tray_c: 96.1 };
const kNoBatch = { ...kNormal, at_s: 700, roast: false, cooling: kTray };
const kCold = "bean probe is not at the charge temperature of 195.0 °C";

export const kTargetEntries = [
    { name: kTarget.name, version: 4, status: "approved", coffee: kTarget.coffee, charge_kg: 12, chosen: true },
    { name: "long-drove-natural", version: 2, status: "trial", coffee: "Long Drove, natural", charge_kg: 10, chosen: false },
];

/** Every state that the page is looked at in. */
export const kStates = {
    roasting: kNormal,
    early: { ...kNormal, at_s: 96 },
    corridor_soon: { ...kNormal, at_s: 200, cooling: { id: 11, since_s: 200, tray_c: 41 } },
    drift: { ...kNormal, drift_s: 436, alarms: [drift("unacknowledged")], pattern: "medium" },
    drift_acknowledged: { ...kNormal, drift_s: 436, alarms: [drift("acknowledged")] },
    two_alarms: { ...kNormal, drift_s: 436, alarms: [drift("acknowledged"), heat("unacknowledged"), exhaust("unacknowledged")], withheld: true, pattern: "high" },
    kept_until_seen: { ...kNormal, alarms: [heat("latched_unacknowledged")], pattern: "high" },
    latched: { ...kNormal, alarms: [heat("latched_acknowledged")] },
    low_alarm: { ...kNormal, alarms: [exhaust("unacknowledged")], pattern: "low" },
    probe_lost: { ...kNormal, bean: "open_circuit", alarms: [probe("unacknowledged")], withheld: true, pattern: "high" },
    bus_silent: { ...kNormal, bean: "bus_silent", silent: true, alarms: [bus("acknowledged")], withheld: true, links: ["bus kiln: no answer for 22 s, trying again"] },
    record_failing: { ...kNormal, alarms: [record("unacknowledged")], writing: false, pattern: "medium" },
    beyond: { ...kNormal, drift_s: 300, drift_per_min: -4.6, alarms: [drift("acknowledged", 14.6, "under"), record("acknowledged")], writing: false },
    overdue: { ...kNormal, at_s: 563, overdue: true, by_hand: true, prompts: [{ kind: "first_crack_not_marked", text: "first crack not marked: expected 0:18 ago", in_s: -18 }] },
    cracked: { ...kNormal, at_s: 588, cracked_s: 546 },
    no_target: { ...kNormal, target: false },
    long_names: { ...kNormal, station: "Saltmarsh Mill, the upper floor by the sluice, station 12", coffee: "Long Drove and Fen Meadow, natural and washed, second picking", name: "long-drove-and-fen-meadow-second-picking" },
    dropped_clear: { ...kNoBatch, verdict: verdict("clear", [], 45), missing: [kCold] },
    dropped_taste: { ...kNoBatch, verdict: verdict("taste", kReasons, 45), missing: [kCold] },
    dropped_hold: { ...kNoBatch, verdict: verdict("hold", kHoldReasons, 45), missing: [kCold, "readings are not being recorded"], writing: false, alarms: [record("acknowledged")] },
    dropped_unjudged: { ...kNoBatch, verdict: verdict("unjudged", kUnjudgedReasons, 45), missing: [kCold] },
    ready: { ...kNoBatch, at_s: 900, cooling: { ...kTray, since_s: 245 }, verdict: verdict("taste", kReasons, 245), missing: [] },
    shelved: { ...kNormal, aside: kAside.slice(0, 1) },
    put_aside: { ...kNormal, drift_s: 436, alarms: [drift("unacknowledged")], aside: kAside, pattern: "medium" },
    noisy: { ...kNormal, doubt: "noisy" },
    to_confirm: { ...kNoBatch, at_s: 900, missing: [], targets: kTargetEntries.map((each, i) => (i === 0 ? { ...each, confirm: kConfirm } : each)) },
    probes_cold: { ...kNoBatch, at_s: 900, cooling: null, cold: true, missing: [kCold], channels: kMoreChannels, links: ["bus kiln: no answer for 12 s, trying again"] },
    probes_fine: { ...kNoBatch, at_s: 900, cooling: null, cold: true, missing: [kCold] },
    probes_moving: { ...kNoBatch, at_s: 900, cooling: null, cold: true, moving: "bean", missing: [kCold] },
    care_due: { ...kNoBatch, at_s: 900, missing: [], reminders: kDue },
    put_aside_between: { ...kNoBatch, at_s: 900, missing: [], aside: kAside, sounders: kFailed, limiter: undefined },
    sounder_failed: { ...kNormal, sounders: kFailed },
    all_at_once: { ...kNormal, drift_s: 436, alarms: [heat("unacknowledged"), drift("unacknowledged"), exhaust("acknowledged")], aside: kAside, sounders: kFailed, withheld: true, pattern: "high", limiter: "No independent high-limit control is stated for this machine." },
    flood: { ...kNormal, alarms: kFloodAlarms, flood: true, withheld: true, pattern: "high" },
    ...Object.fromEntries(Object.entries(kStateAlarms).map(([name, alarm]) => [name, { ...kNormal, alarms: [alarm] }])),
    limiter_due: { ...kNormal, limiter: { stated: true, place: "exhaust", setting_c: 260, tested: "2025-10-02", due: true } },
    not_ready: { ...kNoBatch, at_s: 900, cooling: null, target: false, verdict: verdict("hold", kReasons, 2045), missing: ["choose a target", kCold], links: ["bus kiln: no answer for 12 s, trying again"] },
};

// A made-up roast at Saltmarsh Mill in the JSON of the daemon's API, for states of the page that a real roast reaches
// rarely (two alarms, no probe, a held batch). Nothing of the daemon is proved with it: whole_roast.test.mjs runs the
// real one.

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
    ["burner", 60, 510, null],
    ["airflow", 60, 550, null],
    ["burner", 52, 604, null],
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
    const wave = 0.75 * Math.sin(t / 47) + 0.12 * Math.sin(t / 3.1) + (t < 66 ? (66 - t) * 0.05 : 0);
    return wave + (drift_s !== null && t > drift_s ? ((t - drift_s) / 60) * drift_per_min : 0);
}

const kTick = 250;
const kChargeSequence = 400;

export const kNormal = {
    at_s: 492, roast: true, target: true, drift_s: null, drift_per_min: 3, cracked_s: null, alarms: [], bean: "good",
    withheld: false, verdict: null, cooling: null, missing: null, links: [], writing: true, pattern: "off", silenced: false,
    site_card: "Card 3 by the door. Shift lead: bell 2.",
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

function moves_of(t) {
    return kMoves.map(([control, to, planned_at_s, error_s], planned_index) => {
        const made = error_s !== null && t > planned_at_s + error_s;
        return {
            control, unit: "%", planned_index, planned_to: to, planned_at_s,
            made_to: made ? to : null,
            made_at_s: made ? planned_at_s + error_s : null,
            error_s: made ? error_s : null,
            judged: made ? (Math.abs(error_s) > 2 ? (error_s > 0 ? "late" : "early") : "on time") : "waiting",
        };
    });
}

export function status_of(state) {
    const t = state.at_s;
    const d = deviation(t, state.drift_s, state.drift_per_min);
    const good = state.bean === "good";
    const bean_c = state.roast ? round(at(kPoints, t) + d) : 196.2;
    const width = round(corridor(t));
    const outside = state.drift_s !== null && Math.abs(d) > width;
    const next = kMoves.findIndex(([, , planned]) => planned > t - 4);
    const crack_at = 545 - d * 4;
    const channel = (value, unit, per_min) => ({ value, unit, quality: "good", age_s: 0, rise_per_min: per_min });
    const following = {
        name: kTarget.name, version: 4, status: "approved", coffee: kTarget.coffee, charge_kg: 12, bean_c: null,
        deviation_c: null, ahead_s: null, corridor_c: null, rise_deviation_per_min: null, judged_now: false,
        outside: false, outside_for_s: 0, leaves_in_s: null,
    };
    if (state.roast)
        Object.assign(following, {
            bean_c: round(at(kPoints, t)), corridor_c: width,
            deviation_c: good ? round(d) : null,
            ahead_s: good && t > 80 ? round((d / rise(t)) * 60) : null,
            rise_deviation_per_min: 0.3, judged_now: t >= 150,
            outside: t >= 150 && outside, outside_for_s: outside ? 21 : 0,
        });
    return {
        id: `3-${sequence_of(state)}`, watch: 3, sequence: sequence_of(state), tick_ms: kTick,
        station: "Saltmarsh Mill, station 2", machine: "12 kg drum", build: "0.1.0",
        utc: new Date(Date.UTC(2026, 10, 25, 10, 34) + t * 1000).toISOString(),
        simulated: null, limiter: "Independent limiter at the bean probe, 245 °C.",
        channels: {
            bean: good ? channel(bean_c, "°C", state.roast ? round(rise(t)) : 0.2)
                : { value: null, unit: "°C", quality: state.bean, age_s: 22, rise_per_min: null },
            exhaust: channel(221.4, "°C", 2.1), burner: channel(68, "%"), airflow: channel(45, "%"),
        },
        roast: state.roast ? { id: 12, elapsed_s: t, smoothed_c: bean_c, milestones: milestones_of(state, t) } : null,
        cooling: state.cooling,
        ready: { to_charge: state.missing?.length === 0, missing: state.missing ?? [], charge_c: 195 },
        target: state.target ? following : null,
        next_move: state.roast && state.target && next >= 0
            ? { index: next, control: kMoves[next][0], to: kMoves[next][1], unit: "%", when: { at_s: kMoves[next][2] }, in_s: kMoves[next][2] - t }
            : null,
        moves: state.roast && state.target ? moves_of(t) : [],
        forecast: state.roast && good && t > 100 && state.cracked_s === null
            ? { first_crack: { at_s: crack_at, in_s: crack_at - t, low_s: crack_at - 14, high_s: crack_at + 17, crack_c: 198, crack_spread_c: 1.5, from_target: true } }
            : null,
        no_forecast: good ? (t <= 100 ? "Not before the turning point." : null) : "No good bean reading.",
        drop: state.roast && state.target
            ? { in_s: 660 - t, at_s: 660, development_s: state.cracked_s === null ? null : t - state.cracked_s, development_share: state.cracked_s === null ? null : (t - state.cracked_s) / t }
            : null,
        fan: state.roast && state.target && good && t >= 150
            ? [15, 30, 45, 60, 75, 90].map((in_s) => ({ in_s, low_c: d - in_s * 0.012 + (outside ? in_s * 0.02 : 0), high_c: d + in_s * 0.016 + (outside ? in_s * 0.03 : 0) }))
            : [],
        last_verdict: state.verdict, alarms: state.alarms, prompts: [], prompts_withheld: state.withheld,
        sounder: { on: false, pattern: state.pattern, silenced: state.silenced },
        record: state.writing ? { writing: true, text: "written 1 s ago" } : { writing: false, text: "the disk is full" },
        links: state.links, site_card: state.site_card,
    };
}

const alarm = (id, rule, priority, state, text, response, since_s) => ({ id, rule, priority, state, text, response, since_s, silenced: false, value: null, limit: null });
const drift = (state) => alarm(7, "drift", "medium", state, "Drift: 2.9 °C over the target (limit 2.2 °C)", "Look at the last move: was it made, and at the planned level? Go by the target's next move.", 21);
const heat = (state) => alarm(9, "bean_high_high", "high", state, "Bean temperature 246.2 °C, over 240.0 °C", "Follow the site card: Card 3 by the door. Shift lead: bell 2.", 4);
const probe = (state) => alarm(8, "bean_probe_fault", "high", state, "Bean probe open: the roast is not followed and its temperature limit is blind", "Follow the site card: Card 3 by the door. Shift lead: bell 2.", 19);
const record = (state) => alarm(5, "record_failing", "medium", state, "The record is not being written: the disk is full", "Note this roast by hand; call whoever looks after the box.", 64);
const exhaust = (state) => alarm(4, "exhaust_high", "low", state, "Exhaust 302 °C, over 300 °C", "Watch it; tell the shift lead if it stays.", 130);

const kReasons = [
    { rule: "move_off", text: "Burner to 60 % was made 45 s late (planned 8:30, limit 10 s).", value: 44.8, limit: 10, calls_for: "taste" },
    { rule: "outside", text: "Outside the corridor for 31 s on end, by up to 1.8 °C (limit 15 s).", value: 31, limit: 15, calls_for: "taste" },
];

const verdict = (disposition, reasons, since_s) => ({ roast: 11, disposition, reasons, roast_s: 655, since_s });
const tray = { id: 11, since_s: 75, tray_c: 96.1 };

/** Every state that the page is looked at in. */
export const kStates = {
    roasting: kNormal,
    early: { ...kNormal, at_s: 96 },
    corridor_soon: { ...kNormal, at_s: 200, cooling: { id: 11, since_s: 200, tray_c: 41 } },
    drift: { ...kNormal, drift_s: 436, alarms: [drift("unacknowledged")], pattern: "medium" },
    drift_acknowledged: { ...kNormal, drift_s: 436, alarms: [drift("acknowledged")] },
    two_alarms: { ...kNormal, drift_s: 436, alarms: [drift("acknowledged"), heat("unacknowledged"), exhaust("unacknowledged")], withheld: true, pattern: "high" },
    latched: { ...kNormal, alarms: [heat("latched_acknowledged")] },
    low_alarm: { ...kNormal, alarms: [exhaust("unacknowledged")], pattern: "low" },
    probe_lost: { ...kNormal, bean: "open_circuit", alarms: [probe("unacknowledged")], withheld: true, pattern: "high" },
    beyond: { ...kNormal, drift_s: 300, drift_per_min: -4.6, alarms: [drift("acknowledged"), record("acknowledged")], writing: false },
    cracked: { ...kNormal, at_s: 588, cracked_s: 546 },
    no_target: { ...kNormal, target: false },
    dropped_clear: { ...kNormal, at_s: 700, roast: false, cooling: { ...tray, since_s: 45 }, verdict: verdict("clear", [], 45), missing: ["weigh the next batch into the hopper"] },
    dropped_taste: { ...kNormal, at_s: 700, roast: false, cooling: { ...tray, since_s: 45 }, verdict: verdict("taste", kReasons, 45), missing: ["drum at 181 °C, charge at 195 °C"] },
    ready: { ...kNormal, at_s: 900, roast: false, cooling: { ...tray, since_s: 245 }, verdict: verdict("taste", kReasons, 245), missing: [] },
    not_ready: { ...kNormal, at_s: 900, roast: false, target: false, verdict: verdict("hold", kReasons, 2045), missing: ["choose a target", "bean probe at 148 °C: not yet at charge temperature"], links: ["bus kiln: no answer for 12 s, trying again"] },
};

// GET /api/probes of the scripted station (web/server/openapi.json, ProbeList).

export const kSite = { check_every_days: 30, altitude_m: 240, boiling_point_c: 99.19, largest_correction_c: 5 };

const check = (method, reads_c, is_c, more = {}) => ({ at: "2026-11-04T15:10:00.000Z", who: "Ines", method, reads_c, is_c, note: "", ...more });

/** What was found of each; what it reads comes from the state. */
export const kKnown = {
    bean: {
        calibration: [{ reads_c: -0.4, is_c: 0 }, { reads_c: 100.6, is_c: 100 }],
        last_check: check("boiling_point", 99.6, 99.2, { who: "Jory", note: "in the small kettle" }), check_due_days: 9,
        epoch: { at: "2026-10-12T09:00:00.000Z", who: "Ines", what: "wiped", note: "" },
    },
    exhaust: { calibration: [], last_check: check("comparison", 149.1, 151.2, { at: "2026-10-23T09:00:00.000Z" }), check_due_days: -3, epoch: null },
};
const fault = (name, sentence, look_first) => ({ name, sentence, look_first });
const kFaults = {
    short_circuit: fault("short_circuit", "The wires touch before they reach the tip: what is read is the temperature of that place.", "Look where its wires may touch: in the head, in the plug and where the cable passes hot or sharp metal."),
    reversed: fault("reversed", "The reading falls when the machine is heated.", "Are the two wires of the thermocouple the wrong way round somewhere between probe and instrument? Look at the plug and at an extension cable first."),
    apart_from_twin: fault("apart_from_twin", "It differs from its twin, the other probe in the same place, and nobody can tell from that which one is right.", "Are both as deep in and as clean as each other? Then check both in ice water or boiling water."),
};
const kNew = { calibration: [], last_check: null, check_due_days: 0, epoch: null };

/** In °C since charge or any other second: how far a probe's reading is from where it stands. */
const wobble = (state, name) => 0.05 * Math.sin(state.at_s * 1.7 + name.length) + (state.moving === name ? 3 * Math.sin(state.at_s / 3) : 0);

/** As a calibration of no, one or two points corrects; beyond the ends each end's own correction holds on. */
function corrected(points, c) {
    if (points.length === 0) return c;
    const [low, high] = [points[0], points[points.length - 1]];
    const share = low === high ? 0 : Math.min(1, Math.max(0, (c - low.reads_c) / (high.reads_c - low.reads_c)));
    return c + (low.is_c - low.reads_c) * (1 - share) + (high.is_c - high.reads_c) * share;
}

const round = (x) => Math.round(x * 1000) / 1000;

/** `channels` of the status that belongs to the state. */
export function probes_of(state, channels) {
    const known = { ...kKnown, ...state.probes };
    const probes = Object.entries(channels).filter(([, channel]) => channel.unit === "°C").map(([channel, { quality, value, doubt }]) => {
        const told = { ...kNew, ...known[channel] };
        const warmed = state.warmed?.[channel] ?? 0;
        const stands = state.cold ? 21 + wobble(state, channel) + warmed : value;
        const good = quality === "good";
        const probe_fault = kFaults[good ? doubt : quality] ?? null;
        const probe_faults = probe_fault ? { [probe_fault.name]: 2 } : {};
        return { channel, quality, probe_fault, probe_faults, shows_c: good ? round(corrected(told.calibration, stands)) : null, reads_c: good ? round(stands) : null, ...told };
    });
    return { probes, site: { ...kSite, ...state.site } };
}

/** Channels beside bean and exhaust, each with something that is the matter. */
export const kMoreChannels = {
    inlet: { value: null, unit: "°C", quality: "short_circuit", age_s: 41, rise_per_min: null },
    drum_metal: { value: null, unit: "°C", quality: "reversed", age_s: 41, rise_per_min: null },
    bean_twin: { value: 21, unit: "°C", quality: "good", age_s: 0.2, rise_per_min: 0, doubt: "apart_from_twin" },
};
export const kConfirm = "Its temperatures are from before the bean probe was wiped on 2026-11-24: confirm it, or make it anew.";

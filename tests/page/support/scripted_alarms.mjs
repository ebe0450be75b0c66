// Alarms, what is put aside, sounders and figures of the scripted station, in the words of the daemon
// (daemon/core/alarm_advice.cpp, alarm_words.cpp).

const kCard = "Card 3 by the door. Shift lead: bell 2.";
const kDanger = ["bean_high_high", "bean_probe_fault", "bus_silent"];

function alarm(id, rule, priority, state, text, response, since_s, more = {}) {
    const latched = state.startsWith("latched");
    return {
        id, rule, priority, state, text, response, since_s, silenced: false, value: null, limit: null, unit: "",
        causes: "a move that was missed, late or to a wrong level; another weight; a cold machine",
        consequence: "the batch needs a cup, or is held", time_allowed_s: 30, owner: "operator; tolerance: head roaster",
        can_shelve: !kDanger.includes(rule) && !latched, can_take_out: !kDanger.includes(rule), ...more,
    };
}

export const drift = (state, by_c = 2.9, side = "over") =>
    alarm(7, "drift", "medium", state, `drift: ${by_c.toFixed(1)} °C ${side} the target`, "Look at the next planned move and at what was moved last. The batch may need a cup.", 21, { value: by_c, limit: 2.2, unit: "°C" });
export const heat = (state) =>
    alarm(9, "bean_high_high", "high", state, "bean 246.2 °C: over 240.0 °C", kCard, 4, {
        value: 246.2, limit: 240, unit: "°C", time_allowed_s: 10, owner: "operator; limit: site",
        causes: "the batch stayed in too long; a fire in the drum or in chaff; a probe that reads too high", consequence: "beans may burn; a fire may begin or spread",
    });
export const probe = (state) =>
    alarm(8, "bean_probe_fault", "high", state, "bean probe: open circuit", "The bean temperature can't be seen, nor can an overtemperature. Follow the machine's manual. Look at the probe, its plug and its cable.", 19, {
        time_allowed_s: 10, owner: "operator; probe: maintenance", causes: "a broken or loose probe, plug or cable; an instrument without power",
        consequence: "neither the bean temperature nor an overtemperature can be seen",
    });
export const bus = (state) =>
    alarm(6, "bus_silent", "high", state, "no answer from the bus of bean, exhaust, burner, airflow", "The machine's values can't be seen. Follow the machine's manual. Look at the cable, the power of the instrument and its address.", 20, { time_allowed_s: 10 });
export const record = (state) =>
    alarm(5, "record_failing", "medium", state, "readings are not being recorded", "Following and alarms go on from memory. Look at the disk: free space, card, power. Note this batch by hand.", 64, { time_allowed_s: 300, owner: "operator; disk: maintenance", causes: "a full or failing disk; a card that came loose", consequence: "this batch has no record" });
export const exhaust = (state) => alarm(4, "exhaust_high", "low", state, "exhaust 302.1 °C: over 300.0 °C", kCard, 130, { value: 302.1, limit: 300, unit: "°C", time_allowed_s: 10 });

/** A drift in each state of its life that can be seen; what is put aside is in kAside. */
export const kStateAlarms = {
    drift_silenced: { ...drift("unacknowledged"), silenced: true },
    drift_returned: drift("returned_unacknowledged"),
    fault_latched: alarm(3, "sounder_failed", "medium", "latched_unacknowledged", "sounder 2 has failed", "Look at the sounder named here, its cable and its power, and test it again. Until then keep the page in sight.", 90),
};

const low = (id, rule, priority, text) => alarm(id, rule, priority, id % 2 ? "unacknowledged" : "acknowledged", text, "Look at it when there is time.", id * 3);
export const kFloodAlarms = [
    heat("unacknowledged"),
    { ...probe("unacknowledged"), id: 20 },
    { ...bus("acknowledged"), id: 21 },
    low(31, "drift", "medium", "drift: 4.1 °C over the target"),
    low(32, "runaway_rise", "medium", "rise 14.2 °C/min: over 12.0 °C/min"),
    low(33, "record_failing", "medium", "readings are not being recorded"),
    low(34, "cooling_slow", "low", "tray 61.0 °C after 5 min"),
    low(35, "probe_fault", "low", "no reading: exhaust, inlet"),
    low(36, "disk_low", "low", "the disk is nearly full"),
    low(37, "clock_doubtful", "low", "the clock may be wrong"),
    low(38, "processor_hot", "low", "the box is too hot"),
];

const aside = (rule, title, state, more) => ({ rule, title, state, why: "", who: "", reason: "", since_s: 95, back_in_s: null, ...more });
export const kAside = [
    aside("stall", "the rise has stopped", "shelved", { who: "Jory", reason: "trial roast", back_in_s: 505 }),
    aside("disk_low", "the disk is nearly full", "out_of_service", { who: "Ines", reason: "the disk is replaced on Friday", since_s: 90_000 }),
    aside("exhaust_high", "exhaust too hot", "suppressed", { why: "its probe has a fault: see that alarm", since_s: 19 }),
];

const kTested = "2026-11-25T06:30:00Z";
export const kSounders = [
    { name: "1", kind: "coil", working: true, why: "", tested_at: kTested },
    { name: "2", kind: "gpio", working: true, why: "", tested_at: kTested },
];
export const kFailed = [kSounders[0], { ...kSounders[1], working: false, why: "the line can't be had: used by another program", tested_at: null }];

const figure = (name, words, value, unit, benchmark, source, stand) => ({ name, words, value, unit, benchmark, source, stand });
const kEemua = "EEMUA 191, secondary sources; 2 from memory";
const kIsa = "ANSI/ISA-18.2, secondary source";
const counts = (high, medium, low) => ({ high, medium, low });
export const kFigures = {
    from_utc: "2026-10-27T00:00:00Z", to_utc: "2026-11-26T00:00:00Z", watched_s: 612_000, watched: [], alarms: 214,
    raised: counts(4, 62, 148), rules_on: counts(4, 8, 6), acknowledged: 190, unacknowledged: 24,
    figures: [
        figure("per_10_minutes", "alarms in 10 minutes, mean", 0.21, "", "about 1 very likely acceptable, about 2 the most manageable", kEemua, "within"),
        figure("most_in_10_minutes", "most in any 10 minutes", 13, "", "at most 10", "ANSI/ISA-18.2, from memory", "beyond"),
        figure("per_roast", "alarms a roast, mean", 1.4, "", "at most 1", "our own goal, judgement", "beyond"),
        figure("flood_share", "time in flood", 0.4, "%", "less than about 1", kIsa, "within"),
        figure("chattering", "times a rule chattered (3 onsets in 1 minute)", 3, "", "0", kIsa, "beyond"),
        figure("rules_medium", "rules of medium priority", 18, "%", "about 15, at most 20", "EEMUA 191, secondary source", "look"),
        figure("top_ten_share", "share of the ten most frequent rules", 97.2, "%", "1 to 5 where there are hundreds of rules; with these few only the order tells", "ANSI/ISA-18.2, from memory", "not_judged"),
        figure("median_acknowledge", "time to acknowledge, median", 6.5, "s", "", "", "not_judged"),
        figure("percentile_90_acknowledge", "the same, 90 in 100 within", null, "s", "", "", "not_judged"),
    ],
    days: [
        { day: "2026-11-24", watched_s: 28_000, alarms: 9, priorities: counts(0, 3, 6), stale: 0 },
        { day: "2026-11-25", watched_s: 14_400, alarms: 31, priorities: counts(2, 12, 17), stale: 1 },
    ],
    roasts: [
        { roast: 10, from_utc: "2026-11-25T10:04:00Z", to_utc: "2026-11-25T10:15:00Z", dropped: true, clear: true, alarms: 0, priorities: counts(0, 0, 0) },
        { roast: 11, from_utc: "2026-11-25T10:21:00Z", to_utc: "2026-11-25T10:32:00Z", dropped: true, clear: false, alarms: 4, priorities: counts(1, 2, 1) },
    ],
    floods: [{ from_utc: "2026-11-25T10:23:00Z", to_utc: "2026-11-25T10:36:00Z", alarms: 13 }],
    rules: [
        { rule: "drift", alarms: 90, share_pct: 42.1, chattering: 3, fleeting: 7, stale: 0, stale_roasts: 0, unacknowledged: 9 },
        { rule: "exhaust_high", alarms: 51, share_pct: 23.8, chattering: 0, fleeting: 0, stale: 1, stale_roasts: 0, unacknowledged: 2 },
    ],
    reshelved: [],
    bad_actors: [
        { rule: "drift", why: "chattering", times: 3, words: "it came and went 3 times and more in a minute", suggestion: "Consider a longer off-delay or a wider deadband." },
        { rule: "exhaust_high", why: "stale", times: 1, words: "it stayed active for more than 24 h or over two whole roasts", suggestion: "Find the cause, and have it put right before the next roast." },
    ],
};
export const kNoFigures = { ...kFigures, from_utc: null, to_utc: null, watched_s: 0, alarms: 0, figures: [], days: [], roasts: [], floods: [], rules: [], bad_actors: [] };

/** Care of the machine (web/server/openapi.json, Status.reminders). */
export const kReminders = [
    { name: "empty the chaff bin", due: false, counted: 3, every: 6, unit: "batches", without_weight: 0, done_at: "2026-11-24T15:10:00.000Z", done_by: "Ines" },
    { name: "clean the cyclone", due: false, counted: 120.5, every: 400, unit: "kg", without_weight: 2, done_at: null, done_by: "" },
    { name: "test of the independent high-limit control", due: false, counted: 7, every: 12, unit: "months", without_weight: 0, done_at: null, done_by: "" },
];
export const kDue = [{ ...kReminders[0], due: true, counted: 7 }, kReminders[1], { ...kReminders[2], due: true, counted: 12 }];

// Numbers as an operator reads them. A dash stands for every number that is not known. Signs are always shown on
// deviations; minus is the true minus sign (as wide as plus), so that nothing moves when a value changes sign.

export const kDash = "–";
const kMinus = "−";

/** "187.4"; a dash for null. From 1000 up without decimals, so that the width stays. */
export function plain(value: number | null | undefined, decimals = 1): string {
    if (value === null || value === undefined || !Number.isFinite(value)) return kDash;
    const text = Math.abs(value).toFixed(Math.abs(value) >= 1000 ? 0 : decimals);
    return value < 0 && Number(text) !== 0 ? kMinus + text : text;
}

/** "+0.6", "−2.9", "±0.0"; from 100 up without decimals. */
export function signed(value: number | null | undefined, decimals = 1): string {
    if (value === null || value === undefined || !Number.isFinite(value)) return kDash;
    const text = Math.abs(value).toFixed(Math.abs(value) >= 99.95 ? 0 : decimals);
    if (Number(text) === 0) return `±${text}`;
    return (value < 0 ? kMinus : "+") + text;
}

/** "0:47", "9:05", "1:02:03"; a minus sign in front where negative. Rounded to whole seconds. */
export function minutes_seconds(seconds: number | null | undefined): string {
    if (seconds === null || seconds === undefined || !Number.isFinite(seconds)) return kDash;
    const whole = Math.round(Math.abs(seconds));
    const s = String(whole % 60).padStart(2, "0");
    const m = Math.floor(whole / 60) % 60;
    const h = Math.floor(whole / 3600);
    const text = h > 0 ? `${h}:${String(m).padStart(2, "0")}:${s}` : `${m}:${s}`;
    return seconds < 0 && whole > 0 ? kMinus + text : text;
}

/** "in 0:18"; past its time "overdue 0:05". Counts down to "now". */
export function countdown(in_s: number | null | undefined): string {
    if (in_s === null || in_s === undefined || !Number.isFinite(in_s)) return kDash;
    const whole = Math.round(in_s);
    if (whole === 0) return "now";
    return whole > 0 ? `in ${minutes_seconds(whole)}` : `overdue ${minutes_seconds(-whole)}`;
}

export interface Ahead {
    word: string;
    number: string;
    unit: string;
}

/**
 * Positive is ahead. Below half a second: on time. From 100 s up in minutes. The word comes first: so it stays where
 * it is while the number gets wider.
 */
export function ahead_words(ahead_s: number | null | undefined): Ahead | null {
    if (ahead_s === null || ahead_s === undefined || !Number.isFinite(ahead_s)) return null;
    const whole = Math.round(Math.abs(ahead_s));
    const word = ahead_s > 0 ? "ahead" : "behind";
    if (whole === 0) return { word: "on time", number: "", unit: "" };
    return whole >= 100
        ? { word, number: minutes_seconds(whole), unit: "" }
        : { word, number: String(whole), unit: "s" };
}

const kNoBreak = "\u00a0";

/** The same sentence, in which no line ends between a number and what it counts. */
export function unbroken(text: string): string {
    return text.replaceAll(/(\d) (?=\S)/g, `$1${kNoBreak}`);
}

/** A length of time in words: "4 s", "2 min", "1 h 5 min". */
export function age_words(seconds: number): string {
    const whole = Math.max(0, Math.round(seconds));
    if (whole < 120) return `${whole} s`;
    if (whole < 7200) return `${Math.floor(whole / 60)} min`;
    return `${Math.floor(whole / 3600)} h ${Math.floor((whole % 3600) / 60)} min`;
}

/** Hours and minutes where the tablet stands. */
export function clock_time(utc: string | null | undefined): string {
    const at = utc ? new Date(utc) : null;
    if (!at || Number.isNaN(at.getTime())) return kDash;
    return `${String(at.getHours()).padStart(2, "0")}:${String(at.getMinutes()).padStart(2, "0")}`;
}

const kMonths = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

/** "25 November 2026"; of a date, or of an instant where the tablet stands. */
export function clock_day(text: string): string {
    const date = /^(\d{4})-(\d\d)-(\d\d)$/.exec(text);
    const at = date ? new Date(Number(date[1]), Number(date[2]) - 1, Number(date[3])) : new Date(text);
    return Number.isNaN(at.getTime()) ? kDash : `${at.getDate()} ${kMonths[at.getMonth()]} ${at.getFullYear()}`;
}

const kQuality: Record<string, string> = {
    never_read: "nothing read yet",
    stale: "no new reading",
    bus_silent: "link silent",
    bad_reply: "unreadable reply",
    open_circuit: "probe open",
    out_of_span: "out of span",
    suspect: "suspect jump",
    frozen: "reading frozen",
    short_circuit: "probe shorted",
    reversed: "wires reversed",
};

export function quality_words(quality: string): string {
    return kQuality[quality] ?? quality.replaceAll("_", " ");
}

const kDoubts: Record<string, string> = {
    noisy: "noisy",
    apart_from_twin: "differs from its twin",
};

/** Of a reading that is used all the same. */
export function doubt_words(doubt: string): string {
    return kDoubts[doubt] ?? doubt.replaceAll("_", " ");
}

/** Of a probe: it has the word of the quality or of the doubt. */
export function fault_words(fault: string): string {
    return kDoubts[fault] ?? quality_words(fault);
}

const kMilestoneWords: Record<string, string> = {
    charge: "charge",
    turning_point: "turning point",
    yellow: "yellow",
    first_crack: "first crack",
    second_crack: "second crack",
    drop: "drop",
};

export function milestone_words(name: string): string {
    return kMilestoneWords[name] ?? name.replaceAll("_", " ");
}

/** "60 %", "3.2 kPa", "step 4". */
export function level_words(to: number | null, unit: string): string {
    if (to === null) return kDash;
    const number = Number.isInteger(to) ? String(to) : to.toFixed(1);
    return unit === "step" ? `step ${number}` : `${number} ${unit}`;
}

/** What is said of the bean; the value of "clear" is narrow on purpose. */
export const kVerdictMeaning: Record<string, string> = {
    clear: "curve kept; no tasting called for",
    taste: "a little off: pack after a cup",
    hold: "well off: set aside",
    unjudged: "not judged",
};

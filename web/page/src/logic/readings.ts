// What the probes read while their sheet is open: once a second, of the last 20 s. From it: whether one stands still,
// and which one was warmed. Times are the daemon's, in ms. Readings are without correction, in °C.
import type { Probe } from "./api_probes";
import { type Scale, span_to_scale, to_scale, unit_symbol } from "./units";
import { kDash, plain, signed, unbroken } from "./words";

export interface Readings {
    at_ms: number;
    reads_c: Record<string, number | null>;
}

export const kWindowMs = 20_000;

/** The rows there were and a new one; only those of the window before it. A clock that went back begins anew. */
export function with_readings(rows: Readings[], at_ms: number, probes: Probe[]): Readings[] {
    const newest = rows[rows.length - 1];
    if (newest && newest.at_ms === at_ms) return rows;
    const kept = newest && newest.at_ms > at_ms ? [] : rows.filter((row) => at_ms - row.at_ms <= kWindowMs);
    return [...kept, { at_ms, reads_c: Object.fromEntries(probes.map((each) => [each.channel, each.reads_c])) }];
}

interface Reading {
    at_ms: number;
    c: number;
}

function of_channel(rows: Readings[], channel: string): Reading[] {
    return rows.flatMap(({ at_ms, reads_c }) => {
        const c = reads_c[channel];
        return c === null || c === undefined ? [] : [{ at_ms, c }];
    });
}

/** As the daemon asks of a check (daemon/service/probe_desk.cpp): 15 s of readings, 1.0 °C from lowest to highest. */
const kLeastMs = 15_000;
const kLeastReadings = 5;
const kSteadyC = 1;

export type Steadiness =
    | { is: "unread" }
    | { is: "waiting"; s: number }
    | { is: "steady" | "moving"; low: number; high: number };

export function steadiness(rows: Readings[], channel: string): Steadiness {
    const readings = of_channel(rows, channel);
    const [first, last] = [readings[0], readings[readings.length - 1]];
    const newest = rows[rows.length - 1];
    if (!first || !last || last.at_ms !== newest?.at_ms) return { is: "unread" };
    const values = readings.map((each) => each.c);
    const [low, high] = [Math.min(...values), Math.max(...values)];
    if (high - low > kSteadyC) return { is: "moving", low, high };
    const length_ms = last.at_ms - first.at_ms;
    if (length_ms < kLeastMs || readings.length < kLeastReadings)
        return { is: "waiting", s: Math.max(1, Math.ceil((kLeastMs - length_ms) / 1000)) };
    return { is: "steady", low, high };
}

export function steadiness_words(steady: Steadiness, scale: Scale): string {
    switch (steady.is) {
        case "unread":
            return "no reading: look at its state";
        case "waiting":
            return unbroken(`so far it stands still: ${steady.s} s more`);
        case "steady":
            return unbroken("steady for 15 s and more");
        default: {
            const [low, high] = [plain(to_scale(steady.low, scale)), plain(to_scale(steady.high, scale))];
            const allowed = plain(span_to_scale(kSteadyC, scale));
            return unbroken(
                `not steady: ${low} to ${high} ${unit_symbol(scale)} in the last 20 s, ${allowed} ${unit_symbol(scale)} is allowed`,
            );
        }
    }
}

/** A warm hand on a cold tip gives far more; noise and a room's draught far less. Judgement. */
const kRoseC = 2;
const kNearShare = 1 / 3; // of the first: less is the warmth of a neighbour
const kEnoughReadings = 6;
const kEnds = 3; // readings of which the middle one counts, at either end: one spike says nothing

export interface Rise {
    channel: string;
    rise_c: number | null; // null: not enough readings
    rose: boolean;
}

export interface Warmed {
    rises: Rise[];
    words: string;
}

function middle(values: number[]): number {
    return [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;
}

function rise_of(readings: Reading[]): number | null {
    if (readings.length < kEnoughReadings) return null;
    const values = readings.map((each) => each.c);
    return middle(values.slice(-kEnds)) - middle(values.slice(0, kEnds));
}

/** What all of three and more share is the machine's warming. Of two, one can't tell: both are named. */
function shared_c(rises: number[]): number {
    return rises.length < 3 ? 0 : Math.max(0, Math.min(...rises));
}

/** Which tip was warmed in the last 20 s. */
export function warmed(rows: Readings[], channels: string[]): Warmed {
    const rises = channels.map((channel) => ({ channel, rise_c: rise_of(of_channel(rows, channel)) }));
    const known = rises.flatMap(({ channel, rise_c }) => (rise_c === null ? [] : [{ channel, rise_c }]));
    const shared = shared_c(known.map((each) => each.rise_c));
    const risen = known.filter((each) => each.rise_c - shared >= kRoseC).sort((a, b) => b.rise_c - a.rise_c);
    const most = risen[0] ? risen[0].rise_c - shared : 0;
    const rose = risen.filter((each) => each.rise_c - shared > most * kNearShare).map((each) => each.channel);
    return {
        rises: rises.map((each) => ({ ...each, rose: rose.includes(each.channel) })),
        words: warmed_words(rose, known.length, shared),
    };
}

function warmed_words(rose: string[], known: number, shared: number): string {
    const names = rose.map((each) => each.replaceAll("_", " "));
    if (names.length === 1) return `It is ${names[0]}.`;
    if (names.length > 1)
        return `${names.length === 2 ? "Two" : names.length} rise: ${names.join(", ")}. Let them cool, and warm one tip alone.`;
    if (known === 0) return "Wait: not enough readings yet.";
    return shared >= kRoseC ? "All rise together: let the machine cool first." : "None yet.";
}

export function rise_words(rise_c: number | null, scale: Scale): string {
    if (rise_c === null) return kDash;
    return unbroken(`${signed(span_to_scale(rise_c, scale))} ${unit_symbol(scale)}`);
}

// A calibration as the daemon applies it (drivers/sensors/calibration.hpp), so that the page can say what will change
// before it is sent. The daemon judges it again and has the last word. Everything in °C.
import type { CalibrationPoint } from "./api_probes";
import { number_of } from "./facts";
import { from_scale, type Scale, span_to_scale, to_scale, unit_symbol } from "./units";
import { plain, unbroken } from "./words";

export const kMostPoints = 5;
const kLeastApartC = 5;
/** Of what is shown: a difference below it is none. */
const kSeenC = 0.05;

const correction = (point: CalibrationPoint) => point.is_c - point.reads_c;

export function in_order(points: CalibrationPoint[]): CalibrationPoint[] {
    return [...points].sort((a, b) => a.reads_c - b.reads_c);
}

/** What is shown for a reading. `points` by rising readings: straight pieces, beyond the ends their own correction. */
export function calibrated(points: CalibrationPoint[], reads_c: number): number {
    const above = points.findIndex((point) => point.reads_c > reads_c);
    const [low, high] = [points[(above < 0 ? points.length : above) - 1], points[above]];
    if (!low || !high) {
        const end = low ?? high;
        return end ? reads_c + correction(end) : reads_c;
    }
    const share = (reads_c - low.reads_c) / (high.reads_c - low.reads_c);
    return reads_c + correction(low) + share * (correction(high) - correction(low));
}

export function degrees(celsius: number, scale: Scale): string {
    return `${plain(to_scale(celsius, scale))} ${unit_symbol(scale)}`;
}

export function degrees_apart(celsius: number, scale: Scale): string {
    return `${plain(span_to_scale(Math.abs(celsius), scale))} ${unit_symbol(scale)}`;
}

/** What the daemon would refuse it for; empty: it will do. */
export function calibration_faults(points: CalibrationPoint[], most_c: number, scale: Scale): string[] {
    const faults = [];
    const sorted = in_order(points);
    if (points.length > kMostPoints) faults.push(`At most ${kMostPoints} points.`);
    for (const point of sorted)
        if (Math.abs(correction(point)) > most_c + 1e-9)
            faults.push(
                `${degrees(point.reads_c, scale)} for ${degrees(point.is_c, scale)} is off by more than the ${degrees_apart(most_c, scale)} that this station allows: look at the probe and its wiring first.`,
            );
    for (const [i, high] of sorted.entries()) {
        const low = sorted[i - 1];
        if (!low) continue;
        const pair = `${degrees(low.reads_c, scale)} and ${degrees(high.reads_c, scale)}`;
        if (high.reads_c - low.reads_c < kLeastApartC - 1e-9)
            faults.push(
                `The readings ${pair} lie too near each other: at least ${degrees_apart(kLeastApartC, scale)} apart.`,
            );
        else if (high.is_c <= low.is_c)
            faults.push(`Between the readings ${pair} what is true does not rise: one of them is wrong.`);
    }
    return faults.map(unbroken);
}

/** The points there are and one more; those that lie too near it are what it takes the place of. */
export function with_point(points: CalibrationPoint[], point: CalibrationPoint): CalibrationPoint[] {
    const apart = points.filter((each) => Math.abs(each.reads_c - point.reads_c) >= kLeastApartC);
    return in_order([...apart, { reads_c: point.reads_c, is_c: point.is_c }]);
}

/** "bean shows 0.6 °C less at 100.0 °C from now on": at each point, new, or old and not beside a new one; one sentence
 *  where it is the same all over. */
export function change_words(
    name: string,
    before: CalibrationPoint[],
    after: CalibrationPoint[],
    scale: Scale,
): string[] {
    const old = before.filter((point) => after.every((each) => Math.abs(each.reads_c - point.reads_c) >= kLeastApartC));
    const shows = in_order([...old, ...after]).map(({ reads_c }) => {
        const now_c = calibrated(after, reads_c);
        return { now_c, change_c: now_c - calibrated(before, reads_c) };
    });
    const first = shows[0];
    if (!first || shows.every(({ change_c }) => Math.abs(change_c) < kSeenC))
        return [`What ${name} shows stays as it is.`];
    const words = (change_c: number) =>
        Math.abs(change_c) < kSeenC
            ? "the same as before"
            : `${degrees_apart(change_c, scale)} ${change_c > 0 ? "more" : "less"}`;
    if (before.length < 2 && after.length < 2)
        return [unbroken(`${name} shows ${words(first.change_c)} everywhere from now on.`)];
    return shows.map(({ now_c, change_c }) =>
        unbroken(`${name} shows ${words(change_c)} at ${degrees(now_c, scale)} from now on.`),
    );
}

/** A pair as it is typed, in the tablet's unit. */
export interface TypedPoint {
    reads: string;
    is: string;
}

export function typed_of(point: CalibrationPoint, scale: Scale): TypedPoint {
    const text = (celsius: number) => String(Math.round(to_scale(celsius, scale) * 1000) / 1000);
    return { reads: text(point.reads_c), is: text(point.is_c) };
}

/** In °C; a decimal comma counts as a point, and both minus signs as minus. Null: no temperature. */
export function temperature_of(typed: string, scale: Scale): number | null {
    const text = typed.trim().replace("−", "-");
    const size = number_of(text.replace(/^-/, ""));
    if (size === null) return null;
    return Math.round(from_scale(text.startsWith("-") ? -size : size, scale) * 1000) / 1000;
}

/** Null where a field can't be read. */
export function points_of(typed: TypedPoint[], scale: Scale): CalibrationPoint[] | null {
    const points = [];
    for (const each of typed) {
        const [reads_c, is_c] = [temperature_of(each.reads, scale), temperature_of(each.is, scale)];
        if (reads_c === null || is_c === null) return null;
        points.push({ reads_c, is_c });
    }
    return in_order(points);
}

/** As POST /api/probes/calibrate has them. */
export function point_fields(points: CalibrationPoint[]): Record<string, number> {
    const fields: Record<string, number> = {};
    for (const [i, point] of points.entries()) {
        fields[`reads_${i + 1}_c`] = point.reads_c;
        fields[`is_${i + 1}_c`] = point.is_c;
    }
    return fields;
}

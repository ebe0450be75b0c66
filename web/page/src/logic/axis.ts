// The axis of the deviation plot: ±3, ±6 or ±12 °C (in °F ±5, ±10 or ±20), the smallest that shows everything in
// view. It opens at once and closes when the large deviations have left the view.
import { type Scale, span_from_scale, span_to_scale } from "./units";

export interface Axis {
    limit: number; // in the scale that is shown
    limit_c: number;
    ticks: number[]; // in the scale that is shown, without zero
    opened: boolean; // wider than the first step
    beyond: boolean; // something in view is further out than the widest step
}

const kSteps: Record<Scale, number[]> = { c: [3, 6, 12], f: [5, 10, 20] };

export function choose_axis(largest_c: number, scale: Scale): Axis {
    const steps = kSteps[scale];
    const largest = Math.abs(span_to_scale(largest_c, scale));
    const limit = steps.find((step) => largest <= step) ?? (steps[steps.length - 1] as number);
    const step = limit === 3 ? 1 : limit === 5 ? 2.5 : limit / 3 >= 4 ? limit / 3 : limit / 2;
    const ticks: number[] = [];
    for (let at = step; at < limit * 0.99; at += step) ticks.push(at, -at);
    return {
        limit,
        limit_c: span_from_scale(limit, scale),
        ticks,
        opened: limit !== steps[0],
        beyond: largest > limit,
    };
}

/** Round steps for the temperature axis of the whole curve: at most `most` lines between low and high. */
export function round_ticks(low: number, high: number, most: number): number[] {
    const step = [10, 20, 25, 50, 100, 200].find((each) => (high - low) / each <= most) ?? 500;
    const ticks: number[] = [];
    for (let at = Math.ceil(low / step) * step; at <= high; at += step) ticks.push(at);
    return ticks;
}

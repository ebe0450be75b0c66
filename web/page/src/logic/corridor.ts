// The target's curve and the tolerance band round it, for the drawing of what lies ahead. What the daemon itself
// judged comes with the history; these are its rules (design: the larger of a fixed width and what the target rises
// in some seconds at that moment).
import type { TargetFile } from "./api";

export const kFromS = 150;
export const kWidthC = 1.1;
export const kRiseS = 5;

/** Straight lines between the target's points; null outside them. */
export function target_at(points: [number, number][], t_s: number): number | null {
    const first = points[0];
    const last = points[points.length - 1];
    if (!first || !last || t_s < first[0] || t_s > last[0]) return null;
    let low = 0;
    let high = points.length - 1;
    while (high - low > 1) {
        const middle = (low + high) >> 1;
        if ((points[middle] as [number, number])[0] <= t_s) low = middle;
        else high = middle;
    }
    const [t0, c0] = points[low] as [number, number];
    const [t1, c1] = points[high] as [number, number];
    return t1 === t0 ? c1 : c0 + ((c1 - c0) * (t_s - t0)) / (t1 - t0);
}

/** Half the corridor's width, °C; null where the target has no curve. */
export function corridor_at(target: TargetFile, t_s: number): number | null {
    const half = (target.tolerance?.rise_s ?? kRiseS) / 2;
    const here = target_at(target.points, t_s);
    if (here === null) return null;
    const after = target_at(target.points, t_s + half);
    const before = target_at(target.points, t_s - half);
    const rise = after !== null && before !== null ? Math.abs(after - before) : 0;
    return Math.max(target.tolerance?.bean_c ?? kWidthC, rise);
}

export function corridor_from(target: TargetFile | null): number {
    return target?.tolerance?.from_s ?? kFromS;
}

/** Where the target ends, s since charge. */
export function target_end(target: TargetFile): number {
    return target.points[target.points.length - 1]?.[0] ?? 0;
}

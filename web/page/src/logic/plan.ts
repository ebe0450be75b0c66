// Triggers and drop rules in words.
import type { FirstCrackForecast, Trigger } from "./api";
import { type Scale, to_scale, unit_symbol } from "./units";
import { minutes_seconds, plain } from "./words";

export function trigger_words(when: Trigger | undefined, scale: Scale): string {
    if (!when) return "";
    if (when.at_s !== undefined) return `at ${minutes_seconds(when.at_s)}`;
    if (when.bean_c !== undefined) return `at ${plain(to_scale(when.bean_c, scale), 0)} ${unit_symbol(scale)}`;
    if (when.after_first_crack_s !== undefined) return `${minutes_seconds(when.after_first_crack_s)} after first crack`;
    return "";
}

export interface Interval {
    from_s: number;
    to_s: number;
    share_from: number; // 0..1 along the bar, which runs from now to a little past the interval
    share_to: number;
}

/** The forecast's interval as times from now. */
export function interval_from_now(crack: FirstCrackForecast): Interval {
    const now_s = crack.at_s - crack.in_s;
    const from_s = Math.max(0, crack.low_s - now_s);
    const to_s = Math.max(from_s, crack.high_s - now_s);
    const whole = Math.max(30, to_s * 1.25);
    return { from_s, to_s, share_from: from_s / whole, share_to: to_s / whole };
}

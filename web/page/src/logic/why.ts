// Why the deviation is what it is and what may come of it, in sentences; empty where nothing is known.
import type { FanPoint, Following } from "./api";
import { type Scale, span_to_scale, unit_symbol } from "./units";
import { minutes_seconds, plain, signed } from "./words";

const kSame = 1; // %: a burner so near its plan stands as planned

export function burner_sentence(target: Following | null): string {
    const more = target?.burner_more;
    if (more === null || more === undefined) return "";
    if (Math.abs(more) < kSame) return "The burner stands where the plan has it.";
    return `The burner stands ${plain(Math.abs(more), 0)} % ${more > 0 ? "above" : "below"} the plan.`;
}

/** What may come at half a minute and at a minute. */
export function fan_sentence(fan: FanPoint[], scale: Scale): string {
    const parts = [30, 60].flatMap((in_s) => {
        const point = fan.find((each) => each.in_s === in_s);
        if (!point) return [];
        const low = signed(span_to_scale(point.low_c, scale));
        const high = signed(span_to_scale(point.high_c, scale));
        return [`in ${in_s} s between ${low} and ${high} ${unit_symbol(scale)}`];
    });
    return parts.length === 0 ? "" : `8 times in 10 it will be ${parts.join(", ")} off the target.`;
}

export function leaving_sentence(target: Following | null): string {
    if (!target) return "";
    if (target.outside) return `It has been outside the corridor for ${minutes_seconds(target.outside_for_s ?? 0)}.`;
    const leaves = target.leaves_in_s;
    if (leaves === null || leaves === undefined) return "";
    return `As things stand it may leave the corridor in about ${minutes_seconds(leaves)}.`;
}

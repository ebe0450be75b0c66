// Why a number is what it is and what may come of it, in sentences; empty where nothing is known.
import type { FanPoint, Following, Milestone, MilestoneAt, Move, Status, Trigger } from "./api";
import { trigger_words } from "./plan";
import { type Scale, span_to_scale, to_scale, unit_symbol } from "./units";
import { level_words, milestone_words, minutes_seconds, plain, quality_words, signed } from "./words";

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

/** The bean's reading, and what its rise is taken from. */
export function bean_sentence(status: Status, scale: Scale): string {
    const bean = status.channels.bean;
    if (!bean) return "No channel reads the bean temperature.";
    if (bean.value === null)
        return `The bean probe: ${quality_words(bean.quality)}, the last good reading ${minutes_seconds(bean.age_s)} ago.`;
    return `The bean probe reads ${plain(to_scale(bean.value, scale))} ${unit_symbol(scale)}, ${quality_words(bean.quality)}.`;
}

function sentence_case(words: string): string {
    return words.charAt(0).toUpperCase() + words.slice(1);
}

/** "First crack at 8:14, 198.2 °C: your mark." */
export function milestone_sentence(name: Milestone, at: MilestoneAt, scale: Scale): string {
    const bean = at.bean_c === null ? "" : `, ${plain(to_scale(at.bean_c, scale))} ${unit_symbol(scale)}`;
    const by = at.source === "mark" ? "marked by hand" : (at.why ?? "found by itself");
    return `${sentence_case(milestone_words(name))} at ${minutes_seconds(at.at_s)}${bean}: ${by}.`;
}

const kOrder: Milestone[] = ["charge", "turning_point", "yellow", "first_crack", "second_crack", "drop"];

export function milestone_sentences(status: Status, scale: Scale): string[] {
    return kOrder.flatMap((name) => {
        const at = status.roast?.milestones[name];
        return at ? [milestone_sentence(name, at, scale)] : [];
    });
}

/** "Burner to 60 %, planned at 5:20, made at 5:23: on time." */
export function move_sentence(move: Move): string {
    const level = level_words(move.planned_to ?? move.made_to, move.unit);
    const planned = move.planned_at_s === null ? "" : `, planned at ${minutes_seconds(move.planned_at_s)}`;
    const made = move.made_at_s === null ? "" : `, made at ${minutes_seconds(move.made_at_s)}`;
    return `${sentence_case(move.control.replaceAll("_", " "))} to ${level}${planned}${made}: ${move.judged}.`;
}

/** Development time and its share if it is dropped when the target says. */
function development_then(status: Status): string {
    const drop_s = status.drop?.at_s;
    const cracked = status.roast?.milestones.first_crack;
    const crack_s = cracked?.at_s ?? status.forecast?.first_crack?.at_s;
    if (drop_s === null || drop_s === undefined || crack_s === undefined || crack_s >= drop_s) return "";
    const share = plain((100 * (drop_s - crack_s)) / drop_s, 0);
    const from = cracked?.source === "mark" ? "" : ", by the first crack that is expected";
    return ` Dropped then, it has ${minutes_seconds(drop_s - crack_s)} of development, ${share} % of the roast${from}.`;
}

export function drop_sentence(status: Status, rule: Trigger | undefined, scale: Scale): string {
    const plan = rule ? `The target is dropped ${trigger_words(rule, scale)}.` : "The target has no drop rule.";
    const at_s = status.drop?.at_s;
    if (at_s === null || at_s === undefined) return rule ? `${plan} When that will be is not known yet.` : plan;
    return `${plan} That comes at ${minutes_seconds(at_s)} since charge.${development_then(status)}`;
}

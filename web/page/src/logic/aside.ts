// What is put aside and what can't be heard: in words, with a shape each (colour never stands alone).
import type { Alarm, PutAside, Sounder } from "./api_alarms";
import { age_words } from "./words";

/** In minutes; 30 is what the daemon allows at the most. */
export const kShelfMinutes = [5, 10, 20, 30];
export const kShelfUsual = 10;

/** Why an alarm is shelved, to be chosen with a glove. */
export const kShelfReasons = ["being dealt with", "known fault", "trial roast", "work at the machine"];

export type AsideShape = "clock" | "link" | "cross";

export function aside_shape(state: string): AsideShape {
    if (state === "shelved") return "clock";
    return state === "out_of_service" ? "cross" : "link";
}

/** Shelved first: they come back by themselves, the soonest before the others. */
export function aside_in_order(list: PutAside[]): PutAside[] {
    const rank: Record<AsideShape, number> = { clock: 1, cross: 2, link: 3 };
    return [...list].sort(
        (a, b) =>
            rank[aside_shape(a.state)] - rank[aside_shape(b.state)] ||
            (a.back_in_s ?? 0) - (b.back_in_s ?? 0) ||
            b.since_s - a.since_s,
    );
}

function by_whom(aside: PutAside): string {
    return aside.who ? `by ${aside.who}` : "nobody named";
}

/** "shelved, back in 7 min at the latest; by Jory". */
export function aside_words(aside: PutAside): string {
    const since = age_words(aside.since_s);
    switch (aside_shape(aside.state)) {
        case "clock":
            return `shelved for ${since}, ${by_whom(aside)}: back in ${age_words(aside.back_in_s ?? 0)} at the latest`;
        case "cross":
            return `out of service for ${since}, ${by_whom(aside)}: until a named person puts it back`;
        case "link":
            return `suppressed for ${since}: ${aside.why}`;
    }
}

/** "2 put aside"; empty for none. */
export function aside_count(list: PutAside[]): string {
    return list.length === 0 ? "" : `${list.length} put aside`;
}

/** By how it is put aside: "1 shelved, 1 out of service". */
export function aside_kinds(list: PutAside[]): string {
    const count = (state: string) => list.filter((each) => each.state === state).length;
    return [
        [count("shelved"), "shelved"],
        [count("out_of_service"), "out of service"],
        [count("suppressed"), "suppressed"],
    ]
        .filter(([many]) => (many as number) > 0)
        .map(([many, word]) => `${many} ${word}`)
        .join(", ");
}

export function failed_sounders(sounders: Sounder[] | undefined): Sounder[] {
    return (sounders ?? []).filter((each) => !each.working);
}

/** "sounder 2 failed", "2 sounders failed"; empty for none. */
export function failed_words(sounders: Sounder[] | undefined): string {
    const failed = failed_sounders(sounders);
    if (failed.length === 0) return "";
    return failed.length === 1 ? `sounder ${failed[0]?.name} failed` : `${failed.length} sounders failed`;
}

/** The rule's name as words: "bean high high". */
export function rule_words(rule: string): string {
    return rule.replaceAll("_", " ");
}

/** "in 10 s"; the daemon gives 0 where there is no time at all. */
export function allowed_words(alarm: Alarm): string {
    const seconds = alarm.time_allowed_s;
    if (seconds === undefined) return "";
    return seconds === 0 ? "at once" : `within ${age_words(seconds)}`;
}

/** "246.2 °C"; empty where the rule measures nothing. */
export function measured_words(value: number | null | undefined, unit: string | undefined): string {
    if (value === null || value === undefined || !unit) return "";
    return `${value.toFixed(unit === "ppm" ? 0 : 1).replace("-", "−")} ${unit}`;
}

// The figures of the alarms as a person reads them. The daemon reckons and judges them; here they get their order,
// their signs and their words.
import type { AlarmFigures, ByPriority, Figure, Stand } from "./api_alarms";
import { age_words, kDash } from "./words";

export const kStandWords: Record<Stand, string> = {
    within: "met",
    look: "worth a look",
    beyond: "not met",
    not_judged: "no benchmark",
};

/** A sign for each, so that no colour is needed. */
export const kStandSigns: Record<Stand, string> = { within: "✓", look: "◇", beyond: "✕", not_judged: "–" };

const kRank: Record<Stand, number> = { beyond: 1, look: 2, within: 3, not_judged: 4 };

/** What is not met comes first; else the daemon's order. */
export function figures_in_order(figures: Figure[]): Figure[] {
    return [...figures].sort((a, b) => kRank[a.stand] - kRank[b.stand]);
}

/** "0.4", "12 %", "4 s"; a dash where it is not known. */
export function figure_value(figure: Figure): string {
    if (figure.value === null) return kDash;
    const number = Number.isInteger(figure.value)
        ? String(figure.value)
        : figure.value.toFixed(figure.value < 10 ? 2 : 1);
    return figure.unit ? `${number} ${figure.unit}` : number;
}

/** "2 high, 3 medium, 11 low"; what there is none of is left out. */
export function by_priority_words(counts: ByPriority): string {
    const parts = (["high", "medium", "low"] as const).filter((each) => counts[each] > 0);
    return parts.length === 0 ? "none" : parts.map((each) => `${counts[each]} ${each}`).join(", ");
}

/** Alarms in 10 minutes; a dash where less than that was watched. */
export function rate_words(alarms: number, watched_s: number): string {
    return watched_s < 600 ? kDash : ((alarms * 600) / watched_s).toFixed(2);
}

export function summary_words(figures: AlarmFigures): string {
    if (figures.from_utc === null) return "The record holds no watch yet.";
    const not_met = figures.figures.filter((each) => each.stand === "beyond").length;
    const judged = figures.figures.filter((each) => each.stand !== "not_judged").length;
    const alarms = figures.alarms === 1 ? "1 alarm" : `${figures.alarms} alarms`;
    const met = not_met === 0 ? "no benchmark missed" : `${not_met} of ${judged} benchmarks not met`;
    return `${alarms} in ${age_words(figures.watched_s)} watched; ${met}.`;
}

/** The day so many days before a UTC text, as the daemon's query has it: "2026-11-25". */
export function day_before(utc: string, days: number): string {
    const at = new Date(utc);
    at.setDate(at.getDate() - days);
    const two = (value: number) => String(value).padStart(2, "0");
    return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
}

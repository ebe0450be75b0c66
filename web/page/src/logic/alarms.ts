// What the page makes of an alarm: its shape and number (colour never stands alone), and whether a hand is needed.
import type { Alarm, Priority } from "./api";

export const kNumber: Record<Priority, string> = { high: "1", medium: "2", low: "3" };
export const kShape: Record<Priority, "octagon" | "triangle" | "circle"> = {
    high: "octagon",
    medium: "triangle",
    low: "circle",
};

export function can_acknowledge(alarm: Alarm): boolean {
    return alarm.state.includes("unacknowledged");
}

/** A latched alarm that has been seen and has ended waits for a person who has looked. */
export function can_reset(alarm: Alarm): boolean {
    return alarm.state === "latched_acknowledged";
}

export function needs_hand(alarm: Alarm): boolean {
    return can_acknowledge(alarm) || can_reset(alarm);
}

const kMuchText = 120; // characters: more would be cut off in the corner

/** Its words have no room in the corner. */
export function needs_room(alarm: Alarm): boolean {
    return alarm.text.length + response_words(alarm).length > kMuchText;
}

export function is_over(alarm: Alarm): boolean {
    return alarm.state.startsWith("returned") || alarm.state.startsWith("latched");
}

/** What to do: the daemon's own words while it lasts; once it has ended those would be untrue. */
export function response_words(alarm: Alarm): string {
    if (!is_over(alarm)) return alarm.response;
    return can_reset(alarm)
        ? "It has ended. Reset it once somebody has looked."
        : "It has ended. Acknowledge that you have seen it.";
}

export function state_words(alarm: Alarm): string {
    switch (alarm.state) {
        case "unacknowledged":
            return alarm.silenced ? "silenced, not acknowledged" : "not acknowledged";
        case "acknowledged":
            return "acknowledged";
        case "returned_unacknowledged":
            return "ended, not acknowledged";
        case "latched_unacknowledged":
            return "ended, kept until seen";
        case "latched_acknowledged":
            return "ended, kept until reset";
        default:
            return alarm.state.replaceAll("_", " ");
    }
}

const kRank: Record<Priority, number> = { high: 1, medium: 2, low: 3 };

/** Highest first; of one priority those that need a hand, then the newest. */
export function in_order(alarms: Alarm[]): Alarm[] {
    return [...alarms].sort(
        (a, b) =>
            kRank[a.priority] - kRank[b.priority] ||
            Number(needs_hand(b)) - Number(needs_hand(a)) ||
            a.since_s - b.since_s,
    );
}

/** "1 medium, 1 low". */
export function counted_words(alarms: Alarm[]): string {
    return (["high", "medium", "low"] as Priority[])
        .map((priority) => [alarms.filter((alarm) => alarm.priority === priority).length, priority] as const)
        .filter(([count]) => count > 0)
        .map(([count, priority]) => `${count} ${priority}`)
        .join(", ");
}

/** "2 more: 1 medium, 1 low". */
export function others_words(others: Alarm[]): string {
    return `${others.length} more: ${counted_words(others)}`;
}

/** In a flood only the high ones stay in sight, and the highest where there is none; the others are a count. */
export function split_flood(alarms: Alarm[], flood: boolean): { shown: Alarm[]; folded: Alarm[] } {
    const ordered = in_order(alarms);
    if (!flood || ordered.length <= 1) return { shown: ordered, folded: [] };
    const kept = Math.max(1, ordered.filter((alarm) => alarm.priority === "high").length);
    return { shown: ordered.slice(0, kept), folded: ordered.slice(kept) };
}

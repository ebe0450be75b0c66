// The site's reminders of care for the machine, in words: what is due, how far the others have come, who did it last.
import type { Reminder } from "./api";
import { clock_day } from "./words";

const kLimiterUnit = "months"; // only the independent limiter's test comes round by the calendar

function amount(value: number): string {
    return value >= 100 || Number.isInteger(value) ? value.toFixed(0) : value.toFixed(1);
}

export function counted_words(reminder: Reminder): string {
    if (reminder.counted === null) return "when it was last done is not stated";
    const count = `${amount(reminder.counted)} of ${amount(reminder.every)} ${reminder.unit}`;
    if (reminder.without_weight === 0) return count;
    const batches = reminder.without_weight === 1 ? "1 batch" : `${reminder.without_weight} batches`;
    return `${count}, and ${batches} that nobody weighed`;
}

export function done_words(reminder: Reminder): string {
    if (!reminder.done_at) return "";
    return `last done on ${clock_day(reminder.done_at)}${reminder.done_by ? ` by ${reminder.done_by}` : ""}`;
}

/** What is due first, then what has come furthest. */
export function in_order(reminders: Reminder[]): Reminder[] {
    const share = (each: Reminder) => (each.counted === null ? Number.POSITIVE_INFINITY : each.counted / each.every);
    return [...reminders].sort((a, b) => Number(b.due) - Number(a.due) || share(b) - share(a));
}

/** On the button; empty where there are no reminders at all. */
export function due_words(reminders: Reminder[] | undefined): string {
    const due = in_order(reminders ?? []).filter((each) => each.due);
    if (due.length === 0) return (reminders ?? []).length > 0 ? "machine care" : "";
    return `${due.length > 1 ? `${due.length} ` : ""}due: ${due[0]?.name}`;
}

/** What is to be said of the independent limiter's test; empty: nothing. */
export function limiter_test(reminders: Reminder[] | undefined): string {
    const test = (reminders ?? []).find((each) => each.unit === kLimiterUnit);
    if (!test) return "";
    if (test.counted === null) return "When it was last tested is not stated.";
    const age = `Last tested ${amount(test.counted)} months ago; a test is due every ${amount(test.every)} months.`;
    return test.due ? `${age} Its test is due.` : age;
}

// What the site states of the machine's independent high-limit control: a standing notice where it states none, or
// where its test is due.
import type { Reminder } from "./api";
import { limiter_test } from "./care";

export interface LimiterWords {
    stated: boolean;
    short: string; // for the main screen
    sentence: string;
    note: string; // of its test; empty if there is nothing to say
}

const kNone = "No independent high-limit control is stated for this machine.";

export function limiter_words(limiter: string | undefined, reminders: Reminder[] | undefined): LimiterWords {
    if (!limiter || /^no /i.test(limiter))
        return { stated: false, short: "Independent limiter: none stated.", sentence: limiter || kNone, note: "" };
    const note = limiter_test(reminders);
    const short = note.endsWith("Its test is due.") ? "Independent limiter: test due." : "";
    return { stated: true, short, sentence: limiter, note };
}

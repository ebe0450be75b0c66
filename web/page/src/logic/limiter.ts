// What the site states of the machine's independent high-limit control: a standing notice where it states none.
import type { Limiter } from "./api_alarms";
import type { Scale } from "./units";
import { to_scale, unit_symbol } from "./units";
import { clock_day } from "./words";

export interface LimiterWords {
    stated: boolean;
    short: string; // for the main screen
    sentence: string;
    note: string; // of its test; empty if there is nothing to say
}

const kNone = "No independent high-limit control is stated for this machine.";

function place_of(limiter: Limiter, scale: Scale): string {
    const setting = limiter.setting_c;
    const at = limiter.place ? ` at ${limiter.place.replaceAll("_", " ")}` : "";
    if (setting === null || setting === undefined) return at;
    return `${at}, ${to_scale(setting, scale).toFixed(0)} ${unit_symbol(scale)}`;
}

function note_of(limiter: Limiter): string {
    const tested = limiter.tested
        ? `Last tested on ${clock_day(limiter.tested)}.`
        : "When it was last tested is not stated.";
    if (limiter.due === true) return `${tested} Its test is due.`;
    return limiter.due ? `${tested} Test due on ${clock_day(limiter.due)}.` : tested;
}

/** Of builds that give a sentence, an object, or nothing at all. */
export function limiter_words(limiter: string | Limiter | null | undefined, scale: Scale): LimiterWords {
    if (typeof limiter === "string" && limiter !== "" && !/^(none|no )/i.test(limiter))
        return { stated: true, short: "", sentence: limiter, note: "" };
    if (typeof limiter !== "object" || !limiter?.stated)
        return { stated: false, short: "Independent limiter: none stated.", sentence: kNone, note: "" };
    return {
        stated: true,
        short: limiter.due === true ? "Independent limiter: test due." : "",
        sentence: `Independent high-limit control${place_of(limiter, scale)}.`,
        note: note_of(limiter),
    };
}

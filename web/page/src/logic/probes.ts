// The probes in words: what was found of them, what is made of it, what is due. Temperatures in the tablet's unit.
import type { Status } from "./api";
import type { CalibrationPoint, CheckMethod, Probe, ProbeCheck, ProbeEpoch, Probes } from "./api_probes";
import { calibrated, degrees, degrees_apart } from "./calibration";
import type { Scale } from "./units";
import { age_words, clock_day, doubt_words, fault_words, quality_words, unbroken } from "./words";

export const kMethods: Record<CheckMethod, string> = {
    ice_point: "ice point",
    boiling_point: "boiling point",
    comparison: "comparison",
};

export function probe_name(channel: string): string {
    return channel.replaceAll("_", " ");
}

/** Nothing old may pass for live. */
export function without_readings(probes: Probes): Probes {
    const silent = (probe: Probe): Probe => ({
        ...probe,
        quality: "no live data",
        probe_fault: null,
        shows_c: null,
        reads_c: null,
    });
    return { ...probes, probes: probes.probes.map(silent) };
}

/** "0.4 °C too low"; below half of the last figure that is shown it is right. */
export function off_words(off_c: number, scale: Scale): string {
    if (Math.abs(off_c) < 0.05) return "right";
    return `${degrees_apart(off_c, scale)} too ${off_c > 0 ? "high" : "low"}`;
}

/** "good", "noisy: used all the same", "probe open, last reading 22 s ago". */
export function state_words(probe: Probe, status: Status): string {
    const channel = status.channels[probe.channel];
    if (probe.quality !== "good") {
        const age_s = channel?.age_s;
        const since = probe.quality !== "no live data" && typeof age_s === "number";
        return unbroken(quality_words(probe.quality) + (since ? `, last reading ${age_words(age_s)} ago` : ""));
    }
    const doubt = channel?.doubt ? `${doubt_words(channel.doubt)}: used all the same` : "good";
    return unbroken(channel ? `${doubt}, ${age_words(channel.age_s)} old` : doubt);
}

/** "noisy 3 times, probe open once, since the daemon's start"; empty: nothing. */
export function count_words(counts: Record<string, number>): string {
    const words = Object.entries(counts).map(
        ([name, n]) => `${fault_words(name)} ${n === 1 ? "once" : n === 2 ? "twice" : `${n} times`}`,
    );
    return words.length > 0 ? unbroken(`${words.join(", ")}, since the daemon's start`) : "";
}

/** "corrected: 0.4 °C too low at 0.0 °C, 0.6 °C too high at 100.0 °C". */
export function calibration_words(points: CalibrationPoint[], scale: Scale): string {
    if (points.length === 0) return "taken as they come";
    const words = points.map(
        (point) => `${off_words(point.reads_c - point.is_c, scale)} at ${degrees(point.is_c, scale)}`,
    );
    return unbroken(`corrected: ${words.join(", ")}`);
}

/** "on 25 November 2026 by Ines: ice point, 0.4 °C too low at 0.0 °C"; with a correction, what is left of it too. */
export function check_words(check: ProbeCheck | null, points: CalibrationPoint[], scale: Scale): string {
    if (!check) return "never";
    const found = `${off_words(check.reads_c - check.is_c, scale)} at ${degrees(check.is_c, scale)}`;
    const left = off_words(calibrated(points, check.reads_c) - check.is_c, scale);
    const corrected = points.length > 0 ? ` uncorrected, as corrected now ${left}` : "";
    return unbroken(`${clock_day(check.at)}, ${check.who}: ${kMethods[check.method]}, ${found}${corrected}`);
}

export interface Due {
    due: boolean;
    words: string; // empty: the site asks for none
}

export function due_of(probe: Probe): Due {
    const days = probe.check_due_days;
    if (days === null) return { due: false, words: "" };
    const count = (n: number) => `${n} ${n === 1 ? "day" : "days"}`;
    if (days > 0) return { due: false, words: unbroken(`due in ${count(days)}`) };
    if (!probe.last_check) return { due: true, words: "due: not checked yet" };
    return { due: true, words: days === 0 ? "due today" : unbroken(`overdue for ${count(-days)}`) };
}

/** "wiped on 25 November 2026 by Ines". */
export function epoch_words(epoch: ProbeEpoch | null): string {
    if (!epoch) return "not changed since the record began";
    const note = epoch.note ? `: ${epoch.note}` : "";
    return unbroken(`${epoch.what} on ${clock_day(epoch.at)} by ${epoch.who}${note}`);
}

/** What follows when that probe is said to be changed. Only the bean probe's temperatures are learned from. */
export function change_follows(probe: Probe): string[] {
    const learned =
        probe.channel === "bean"
            ? [
                  "What was learned of its temperatures counts for little, and is learned anew.",
                  "Older targets ask to be confirmed.",
              ]
            : ["It is noted with the day: what it read before may differ from what it reads after."];
    const correction =
        probe.calibration.length > 0
            ? "Its correction stays as it is: check it soon, and correct it anew where that is wrong."
            : "Check it soon: it may read otherwise than before.";
    return [...learned, correction];
}

/** Why nothing may be done to a probe now; empty: it may. */
export function hindrance(status: Status, live: boolean): string {
    if (!live) return "No live data: this waits until the daemon answers.";
    return status.roast ? "There is a batch in the drum: do this when it is empty." : "";
}

/** What the present weather makes of the boiling point at the site's altitude (conf/README.md, "probes"). */
const kWeatherC = 0.6;

export function boiling_words(boiling_point_c: number | null, scale: Scale): string {
    if (boiling_point_c === null)
        return "This station's configuration does not state the altitude: the air pressure is needed.";
    return unbroken(
        `Left empty, it is taken from the site's altitude: ${degrees(boiling_point_c, scale)}, give or take ${degrees_apart(kWeatherC, scale)} with the weather.`,
    );
}

/** hPa as a person types it; null: none that can be (the daemon takes 300 to 1200). */
export function pressure_of(typed: string): number | null {
    const text = typed.trim().replace(",", ".");
    if (!/^\d{3,4}(\.\d{1,2})?$/.test(text)) return null;
    const pressure = Number(text);
    return pressure >= 300 && pressure <= 1200 ? pressure : null;
}

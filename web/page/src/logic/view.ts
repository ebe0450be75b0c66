// What the page is about at this moment, decided from the status alone.
import type { Status } from "./api";
import { doubt_words } from "./words";

export type View =
    | "judged" // in the drum, with a target to follow
    | "plain" // in the drum, nothing to judge by
    | "dropped" // just dropped: the verdict first
    | "between"; // nothing in the drum

const kVerdictShownS = 180;

export function choose_view(status: Status): View {
    if (status.roast) return status.target ? "judged" : "plain";
    const since = status.last_verdict?.since_s;
    return since !== undefined && since < kVerdictShownS ? "dropped" : "between";
}

/** State of the probes in words, for the quiet corner. */
export function probes_words(status: Status): string {
    const bad = Object.entries(status.channels).filter(([, channel]) => channel.quality !== "good");
    if (bad.length === 0) return doubted_words(status) || "probes good";
    const names = bad.map(([name]) => name.replaceAll("_", " "));
    return names.length <= 2 ? `no reading: ${names.join(", ")}` : `${names.length} channels without reading`;
}

/** "bean noisy"; empty: none is in doubt. What gives no reading comes before it. */
function doubted_words(status: Status): string {
    const doubted = Object.entries(status.channels).filter(([, channel]) => channel.doubt);
    const [first] = doubted;
    if (!first) return "";
    if (doubted.length > 1) return `${doubted.length} probes in doubt`;
    return `${first[0].replaceAll("_", " ")} ${doubt_words(first[1].doubt ?? "")}`;
}

/** "burner" is tapped in by hand where no channel reads it. */
export function moves_by_hand(status: Status, control: string): boolean {
    return status.channels[control] === undefined;
}

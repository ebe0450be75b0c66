// Beside the alarm, small but plain, and one tap from the lists: how many others there are, what is put aside, which
// sounder failed.
import { counted_words, others_words } from "../logic/alarms";
import type { Alarm, Status } from "../logic/api";
import { type AsideShape, aside_count, failed_words } from "../logic/aside";
import { unbroken } from "../logic/words";
import type { Dialog, Model } from "../model";
import { AsideMark } from "./marks";

interface Part {
    model: Model;
    status: Status;
    others: Alarm[]; // beside the one that is shown in full
    flood: boolean;
}

/** Where the tap leads: to all alarms, or straight to the one list that it is about. */
function list_of(others: Alarm[], aside: string, failed: string): Dialog {
    if (others.length > 0 || (aside === "") === (failed === "")) return "alarms";
    return aside ? "aside" : "sounders";
}

function Line({ shape, words }: { shape: AsideShape | "mute"; words: string }) {
    return (
        <span class="mark-line">
            <AsideMark shape={shape} />
            <strong>{words}</strong>
        </span>
    );
}

export function CornerSide({ model, status, others, flood }: Part) {
    const aside = aside_count(status.alarms_put_aside ?? []);
    const failed = failed_words(status.sounders);
    const marked = aside !== "" || failed !== "";
    if (others.length === 0 && !marked && status.alarms.length > 0) return null;
    return (
        <button
            type="button"
            class={`plain corner-side${marked || others.length > 0 ? " marked" : ""}${others.length > 0 ? " many" : ""}`}
            onClick={() => model.show(list_of(others, aside, failed))}
        >
            {flood && others.length > 0 && <strong>flood of alarms</strong>}
            {others.length > 0 && (
                <span>{unbroken(flood ? `${others.length}: ${counted_words(others)}` : others_words(others))}</span>
            )}
            {aside && <Line shape="clock" words={aside} />}
            {failed && <Line shape="mute" words={failed} />}
            {others.length === 0 && !marked && "alarms…"}
        </button>
    );
}

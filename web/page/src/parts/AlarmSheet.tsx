// The frame of every sheet about alarms: the way to the others at its foot. Its buttons are large: a glove on one hand,
// a scoop in the other.
import type { ComponentChildren } from "preact";
import { unbroken } from "../logic/words";
import type { Dialog } from "../model";
import type { Part } from "./Dialogs";
import { Sheet } from "./Sheet";

interface Place {
    dialog: Dialog;
    words: string;
    count: number | null;
}

export function AlarmSheet(props: Part & { title: string; children: ComponentChildren }) {
    const { model, status } = props;
    const aside = status.alarms_put_aside ?? [];
    const places: Place[] = [
        { dialog: "alarms", words: "alarms", count: status.alarms.length },
        { dialog: "aside", words: "put aside", count: aside.length },
        { dialog: "sounders", words: "sounders", count: null },
        { dialog: "figures", words: "figures", count: null },
    ];
    const foot = places.map(({ dialog, words, count }) => (
        <button
            key={words}
            type="button"
            class={model.dialog === dialog ? "plain chosen" : "plain"}
            aria-pressed={model.dialog === dialog}
            onClick={() => model.show(dialog)}
        >
            {words}
            {count !== null && <strong class="count"> {count}</strong>}
        </button>
    ));
    return (
        <Sheet model={model} title={props.title} class="of-alarms" foot={foot} said={unbroken(model.notice)}>
            {!model.live() && <p class="said">No live data: this is as last heard.</p>}
            {props.children}
        </Sheet>
    );
}

// What is put aside: shelved with the time left, out of service with who, suppressed with why; and the way back.
import { useState } from "preact/hooks";
import type { PutAside } from "../logic/api";
import { aside_in_order, aside_kinds, aside_shape, aside_words } from "../logic/aside";
import { unbroken } from "../logic/words";
import type { Model } from "../model";
import { AlarmSheet } from "./AlarmSheet";
import type { Part } from "./Dialogs";
import { Field } from "./fields";
import { AsideMark } from "./marks";

export function AsideDialog({ model, status }: Part) {
    const list = aside_in_order(status.alarms_put_aside ?? []);
    const title = list.length === 0 ? "Nothing is put aside" : `Put aside: ${aside_kinds(list)}`;
    return (
        <AlarmSheet model={model} status={status} title={title}>
            {list.length === 0 && <p>Every alarm that is set up can sound.</p>}
            {list.length > 0 && <p>These can't sound now. Go through the list when you hand over.</p>}
            {list.map((aside) => (
                <div key={aside.rule} class="aside-row" data-state={aside.state}>
                    <AsideMark shape={aside_shape(aside.state)} />
                    <div class="aside-words">
                        <p class="aside-title">{aside.title}</p>
                        <p>{unbroken(aside_words(aside))}</p>
                        {aside.reason && <p class="small">“{aside.reason}”</p>}
                    </div>
                    <Back model={model} aside={aside} />
                </div>
            ))}
        </AlarmSheet>
    );
}

function Back({ model, aside }: { model: Model; aside: PutAside }) {
    const [who, set_who] = useState("");
    const live = model.live();
    if (aside.state === "shelved")
        return (
            <button
                type="button"
                class="plain act"
                disabled={!live}
                onClick={() => void model.command("/api/alarms/unshelve", { rule: aside.rule })}
            >
                unshelve
            </button>
        );
    if (aside.state !== "out_of_service") return <p class="small by-itself">comes back by itself</p>;
    return (
        <form
            class="put-back"
            onSubmit={(event) => {
                event.preventDefault();
                if (who.trim())
                    void model.command("/api/alarms/return-to-service", { rule: aside.rule, who: who.trim() });
            }}
        >
            <Field label="your name" most={64} value={who} set={set_who} />
            <button type="submit" class="plain act" disabled={!live || who.trim() === ""}>
                return to service
            </button>
        </form>
    );
}

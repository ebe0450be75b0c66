// Care of the machine: what is due and how far the rest has come. Whoever has done it says so, and the count begins anew.
import { useState } from "preact/hooks";
import type { Reminder, Status } from "../logic/api";
import { counted_words, done_words, due_words, in_order } from "../logic/care";
import { unbroken } from "../logic/words";
import type { Model } from "../model";
import type { Part } from "./Dialogs";
import { Field } from "./fields";
import { Sheet } from "./Sheet";

export function CareButton({ model, status }: { model: Model; status: Status }) {
    const words = due_words(status.reminders);
    if (words === "") return null;
    const due = (status.reminders ?? []).some((each) => each.due);
    return (
        <button type="button" class={due ? "plain care marked" : "plain care"} onClick={() => model.show("care")}>
            {unbroken(words)}
        </button>
    );
}

export function CareDialog({ model, status }: Part) {
    const [who, set_who] = useState("");
    return (
        <Sheet model={model} class="of-alarms of-care" title="Care of the machine" said={model.notice}>
            <p>How it is done, and how often, the machine's manual says. These are reminders, no alarms.</p>
            <Field label="your name" most={64} value={who} set={set_who} />
            {in_order(status.reminders ?? []).map((reminder) => (
                <Row key={reminder.name} model={model} reminder={reminder} who={who.trim()} />
            ))}
        </Sheet>
    );
}

function Row({ model, reminder, who }: { model: Model; reminder: Reminder; who: string }) {
    const done = async () => {
        const outcome = await model.command("/api/reminders/done", { name: reminder.name, who });
        if (outcome.done) model.say(outcome.text || outcome.answer || "");
    };
    return (
        <div class="aside-row" data-due={reminder.due}>
            <div class="aside-words">
                <p class="aside-title">
                    {reminder.due ? "due: " : ""}
                    {reminder.name}
                </p>
                <p>{unbroken(counted_words(reminder))}</p>
                <p class="small">{unbroken(done_words(reminder))}</p>
            </div>
            <button type="button" class="plain act" disabled={!model.live() || who === ""} onClick={() => void done()}>
                done
            </button>
        </div>
    );
}

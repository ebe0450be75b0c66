// A target from before the probe was changed: somebody who knows says, with a name, that it still holds.
import { useState } from "preact/hooks";
import { unbroken } from "../logic/words";
import type { Part } from "./Dialogs";
import { Field } from "./fields";
import { Sheet } from "./Sheet";

export function ConfirmDialog({ model }: Part) {
    const [who, set_who] = useState("");
    const entry = model.targets.find((each) => each.name === model.confirming);
    const asks = entry?.confirm;
    const confirm = async () => {
        const outcome = await model.tell_probes("/api/target/confirm", { who: who.trim(), name: model.confirming });
        if (outcome.done) model.say(outcome.text || outcome.answer || "");
    };
    return (
        <Sheet model={model} class="of-alarms" title={`Target ${model.confirming}`} said={unbroken(model.notice)}>
            {asks ? (
                <>
                    <p class="do-first">{unbroken(asks)}</p>
                    <p>
                        It holds if a roast by it tastes as it should and the bean probe read as before: compare the
                        last batches with those from before the change. Make it anew if you are not sure.
                    </p>
                    <fieldset>
                        <Field label="your name" most={64} value={who} set={set_who} />
                        <button
                            type="button"
                            class="plain act"
                            disabled={!model.live() || who.trim() === ""}
                            onClick={() => void confirm()}
                        >
                            it still holds
                        </button>
                    </fieldset>
                </>
            ) : (
                <p>Nothing about it asks to be confirmed.</p>
            )}
        </Sheet>
    );
}

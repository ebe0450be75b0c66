// A probe was wiped, moved or replaced: said with a name, after what follows was read.
import { useState } from "preact/hooks";
import type { ProbeChange } from "../logic/api_probes";
import { probe_name } from "../logic/probes";
import { type Choice, Choices, Field } from "./fields";
import type { OfProbe } from "./ProbesDialog";

const kChanges: Choice<ProbeChange | null>[] = [
    { value: "wiped", words: "wiped" },
    { value: "moved", words: "moved" },
    { value: "replaced", words: "replaced" },
];

export function ProbeChanged({ model, probe, who, set_who, hindered, go, refresh }: OfProbe) {
    const [what, set_what] = useState<ProbeChange | null>(null);
    const [note, set_note] = useState("");
    const channel = probe.channel;
    const name = probe_name(channel);
    const say = async () => {
        const body = { channel, what, who: who.trim(), ...(note.trim() ? { note: note.trim() } : {}) };
        const outcome = await model.tell_probes("/api/probes/change", body);
        if (!outcome.done) return;
        await refresh();
        go({ at: "one", channel });
        model.say(outcome.text || outcome.answer || "");
    };
    return (
        <>
            <Choices label={`what was done to ${name}`} now={what} choices={kChanges} choose={set_what} />
            <h3>What follows</h3>
            <ul>
                <li>What was learned of its temperatures counts for little, and is learned anew.</li>
                <li>If it is the bean probe, older targets ask to be confirmed.</li>
                <li>
                    {probe.calibration.length > 0
                        ? "Its correction stays as it is: check it soon, and correct it anew where that is wrong."
                        : "Check it soon: it may read otherwise than before."}
                </li>
            </ul>
            {hindered && <p class="hindered">{hindered}</p>}
            <fieldset>
                <Field label="your name" most={64} value={who} set={set_who} />
                <Field label="a note, where there is one" most={200} value={note} set={set_note} />
            </fieldset>
            <fieldset>
                <button type="button" class="plain" onClick={() => go({ at: "one", channel })}>
                    back
                </button>
                <button
                    type="button"
                    class="plain act"
                    disabled={hindered !== "" || what === null || who.trim() === ""}
                    onClick={() => void say()}
                >
                    {what ? `${name} was ${what}` : "choose what was done"}
                </button>
            </fieldset>
        </>
    );
}

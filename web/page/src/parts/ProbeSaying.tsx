// The end of each sheet on which a person says something of a probe: a name to it, a note, the way back, and the button
// that sends it; afterwards that probe, and what the daemon answered.
import { useState } from "preact/hooks";
import { Field } from "./fields";
import type { OfProbe } from "./ProbesDialog";

interface Saying {
    of: OfProbe;
    path: string;
    body: Record<string, unknown>; // without channel, name and note
    words: string; // on the button
    ready: boolean; // but for the name
    back: { words: string; go: () => void };
}

export function ProbeSaying({ of, path, body, words, ready, back }: Saying) {
    const { model, probe, who, set_who, hindered, go, refresh } = of;
    const [note, set_note] = useState("");
    const channel = probe.channel;
    const say = async () => {
        const noted = note.trim() ? { note: note.trim() } : {};
        const outcome = await model.tell_probes(path, { channel, ...body, who: who.trim(), ...noted });
        if (!outcome.done) return;
        await refresh();
        go({ at: "one", channel });
        model.say(outcome.text || outcome.answer || "");
    };
    return (
        <>
            {hindered && <p class="hindered">{hindered}</p>}
            <fieldset>
                <Field label="your name" most={64} value={who} set={set_who} />
                <Field label="a note, where there is one" most={200} value={note} set={set_note} />
            </fieldset>
            <fieldset>
                <button type="button" class="plain" onClick={back.go}>
                    {back.words}
                </button>
                <button
                    type="button"
                    class="plain act"
                    disabled={hindered !== "" || !ready || who.trim() === ""}
                    onClick={() => void say()}
                >
                    {words}
                </button>
            </fieldset>
        </>
    );
}

// A probe was wiped, moved or replaced: said with a name, after what follows was read.
import { useState } from "preact/hooks";
import type { ProbeChange } from "../logic/api_probes";
import { change_follows, probe_name } from "../logic/probes";
import { type Choice, Choices } from "./fields";
import { ProbeSaying } from "./ProbeSaying";
import type { OfProbe } from "./ProbesDialog";

const kChanges: Choice<ProbeChange | null>[] = [
    { value: "wiped", words: "wiped" },
    { value: "moved", words: "moved" },
    { value: "replaced", words: "replaced" },
];

export function ProbeChanged(part: OfProbe) {
    const [what, set_what] = useState<ProbeChange | null>(null);
    const channel = part.probe.channel;
    const name = probe_name(channel);
    return (
        <>
            <Choices label={`what was done to ${name}`} now={what} choices={kChanges} choose={set_what} />
            <h3>What follows</h3>
            <ul>
                {change_follows(part.probe).map((words) => (
                    <li key={words}>{words}</li>
                ))}
            </ul>
            <ProbeSaying
                of={part}
                path="/api/probes/change"
                body={{ what }}
                words={what ? `${name} was ${what}` : "choose what was done"}
                ready={what !== null}
                back={{ words: "back", go: () => part.go({ at: "one", channel }) }}
            />
        </>
    );
}

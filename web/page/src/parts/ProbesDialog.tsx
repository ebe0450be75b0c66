// Every temperature probe: how it is, when it was checked, what is made of its readings; and, between roasts, what a
// person does to it: find out which is which, check it, correct it, say that it was changed.
import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import type { CalibrationPoint, Probe, Probes } from "../logic/api_probes";
import { hindrance, probe_name } from "../logic/probes";
import type { Readings } from "../logic/readings";
import { unbroken } from "../logic/words";
import type { Part } from "./Dialogs";
import { ProbeChanged } from "./ProbeChanged";
import { ProbeCheck } from "./ProbeCheck";
import { ProbeCorrection } from "./ProbeCorrection";
import { OneProbe, ProbeTable } from "./ProbeTable";
import { ProbeWhich } from "./ProbeWhich";
import { Sheet } from "./Sheet";
import { use_probes } from "./use_probes";

export type Place =
    | { at: "all" }
    | { at: "which" }
    | { at: "one" | "check" | "change"; channel: string }
    | { at: "correct"; channel: string; points?: CalibrationPoint[] }; // points: to begin with, else those that hold

/** What every place of one probe needs. */
export interface OfProbe extends Part {
    probe: Probe;
    site: Probes["site"];
    rows: Readings[];
    who: string; // typed once for all of them
    set_who: (who: string) => void;
    hindered: string; // why nothing may be done now; empty: it may
    go: (place: Place) => void;
    refresh: () => Promise<Probes | null>;
}

export function ProbesDialog({ model, status }: Part) {
    const { probes, heard, rows, refresh } = use_probes(model);
    const [place, set_place] = useState<Place>({ at: "all" });
    const [who, set_who] = useState("");
    const go = (to: Place) => {
        model.say("");
        set_place(to);
    };
    const frame = (title: string, children: ComponentChildren) => (
        <ProbeSheet model={model} status={status} title={title} heard={heard} place={place} go={go}>
            {children}
        </ProbeSheet>
    );
    if (!probes)
        return frame("Probes", <p>{heard ? "Asking the daemon…" : "The daemon does not tell of them now."}</p>);
    if (place.at === "all")
        return frame("Probes", <ProbeTable model={model} status={status} probes={probes} go={go} />);
    if (place.at === "which")
        return frame("Which probe is which?", <ProbeWhich model={model} status={status} probes={probes} rows={rows} />);
    const probe = probes.probes.find((each) => each.channel === place.channel);
    const name = probe_name(place.channel);
    if (!probe) return frame(name, <p>There is no such probe any longer.</p>);
    const hindered = hindrance(status, model.live());
    const part = { model, status, probe, site: probes.site, rows, who, set_who, hindered, go, refresh };
    switch (place.at) {
        case "check":
            return frame(`Check ${name}`, <ProbeCheck {...part} />);
        case "correct":
            return frame(`Correct ${name}`, <ProbeCorrection {...part} begin={place.points ?? probe.calibration} />);
        case "change":
            return frame(`${name} was changed`, <ProbeChanged {...part} />);
        default:
            return frame(`Probe ${name}`, <OneProbe {...part} />);
    }
}

interface Frame extends Part {
    title: string;
    heard: boolean;
    place: Place;
    go: (place: Place) => void;
    children: ComponentChildren;
}

function ProbeSheet({ model, status, title, heard, place, go, children }: Frame) {
    const places = [
        ["all", "all probes"],
        ["which", "which is which"],
    ] as const;
    const foot = places.map(([at, words]) => (
        <button
            key={at}
            type="button"
            class={place.at === at ? "plain chosen" : "plain"}
            aria-pressed={place.at === at}
            onClick={() => go({ at })}
        >
            {words}
        </button>
    ));
    return (
        <Sheet model={model} class="of-alarms of-probes" title={title} foot={foot} said={unbroken(model.notice)}>
            {!(model.live() && heard) && <p class="said">No live data: this is as last heard.</p>}
            {(status.links ?? []).map((trouble) => (
                <p key={trouble} class="trouble">
                    {unbroken(trouble)}
                </p>
            ))}
            {children}
        </Sheet>
    );
}

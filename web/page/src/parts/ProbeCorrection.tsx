// The correction of a probe: one to five points, then what will change in so many words, and a name to it.
import { useState } from "preact/hooks";
import type { CalibrationPoint } from "../logic/api_probes";
import {
    calibration_faults,
    change_words,
    degrees_apart,
    kMostPoints,
    point_fields,
    points_of,
    type TypedPoint,
    typed_of,
} from "../logic/calibration";
import { probe_name } from "../logic/probes";
import { unit_symbol } from "../logic/units";
import { unbroken } from "../logic/words";
import { Field } from "./fields";
import { ProbeSaying } from "./ProbeSaying";
import type { OfProbe } from "./ProbesDialog";

export function ProbeCorrection(part: OfProbe & { begin: CalibrationPoint[] }) {
    const scale = part.model.settings.scale;
    const [typed, set_typed] = useState<TypedPoint[]>(part.begin.map((point) => typed_of(point, scale)));
    const [sure, set_sure] = useState(false);
    const points = points_of(typed, scale);
    if (sure && points) return <Confirm {...part} points={points} back={() => set_sure(false)} />;
    return <Points {...part} typed={typed} set={set_typed} points={points} next={() => set_sure(true)} />;
}

interface PointsPart extends OfProbe {
    typed: TypedPoint[];
    set: (typed: TypedPoint[]) => void;
    points: CalibrationPoint[] | null;
    next: () => void;
}

function Points({ model, probe, site, go, hindered, typed, set, points, next }: PointsPart) {
    const scale = model.settings.scale;
    const faults = points
        ? calibration_faults(points, site.largest_correction_c, scale)
        : ["Each field wants a temperature, such as 100.6."];
    const change = (at: number, part: Partial<TypedPoint>) =>
        set(typed.map((each, i) => (i === at ? { ...each, ...part } : each)));
    return (
        <>
            <p>
                One point shifts every reading; two to {kMostPoints} make straight pieces between them. At most{" "}
                {unbroken(degrees_apart(site.largest_correction_c, scale))} may be corrected.
            </p>
            {typed.length === 0 && <p class="summary">No points: its readings are taken as they come.</p>}
            {/* Fields of text: the keys that a phone shows for a decimal have no minus. */}
            {typed.map((point, i) => (
                <fieldset key={i} class="point" aria-label={`point ${i + 1}`}>
                    <Field
                        label={`${i + 1}: it reads, ${unit_symbol(scale)} uncorrected`}
                        most={9}
                        value={point.reads}
                        set={(reads) => change(i, { reads })}
                    />
                    <Field
                        label={`true is, ${unit_symbol(scale)}`}
                        most={9}
                        value={point.is}
                        set={(is) => change(i, { is })}
                    />
                    <button type="button" class="plain" onClick={() => set(typed.filter((_, at) => at !== i))}>
                        remove
                    </button>
                </fieldset>
            ))}
            {typed.length > 0 && faults.map((fault) => <p key={fault}>{fault}</p>)}
            {hindered && <p class="hindered">{hindered}</p>}
            <fieldset>
                <button type="button" class="plain" onClick={() => go({ at: "one", channel: probe.channel })}>
                    back
                </button>
                {typed.length < kMostPoints && (
                    <button type="button" class="plain" onClick={() => set([...typed, { reads: "", is: "" }])}>
                        add a point
                    </button>
                )}
                {typed.length > 0 && (
                    <button type="button" class="plain" onClick={() => set([])}>
                        clear all
                    </button>
                )}
                <button type="button" class="plain act" disabled={hindered !== "" || faults.length > 0} onClick={next}>
                    what will change?
                </button>
            </fieldset>
        </>
    );
}

function Confirm(part: OfProbe & { points: CalibrationPoint[]; back: () => void }) {
    const { model, probe, points, back } = part;
    const name = probe_name(probe.channel);
    return (
        <>
            <ul class="changes">
                {change_words(name, probe.calibration, points, model.settings.scale).map((words) => (
                    <li key={words}>{words}</li>
                ))}
            </ul>
            <p>
                Alarms, targets and the verdict go by what it shows. A wrong correction makes them wrong: check it once
                more afterwards.
            </p>
            <ProbeSaying
                of={part}
                path="/api/probes/calibrate"
                body={point_fields(points)}
                words={points.length === 0 ? "take them as they come" : "correct it so"}
                ready={true}
                back={{ words: "back to the points", go: back }}
            />
        </>
    );
}

// A check, step by step: how, what to do, who takes it, what came of it. The reading and whether it stands still are
// in sight all the time; the daemon takes the mean of the last 20 s and refuses what is not steady.
import { useState } from "preact/hooks";
import type { ProbeCheck as Checked, CheckMethod } from "../logic/api_probes";
import { degrees, with_point } from "../logic/calibration";
import { check_fields, kGuides, type TypedCheck } from "../logic/check";
import { boiling_words } from "../logic/probes";
import { steadiness, steadiness_words } from "../logic/readings";
import { unit_symbol } from "../logic/units";
import { unbroken } from "../logic/words";
import { Field } from "./fields";
import { AsideMark } from "./marks";
import type { OfProbe } from "./ProbesDialog";
import { Degrees } from "./ProbeTable";

const kMethods = Object.keys(kGuides) as CheckMethod[];

interface Result {
    words: string;
    check: Checked | null; // null: the daemon has not told of it yet
}

export function ProbeCheck(part: OfProbe) {
    const { probe, hindered, go } = part;
    const [method, set_method] = useState<CheckMethod | null>(null);
    const [ready, set_ready] = useState(false);
    const [result, set_result] = useState<Result | null>(null);
    const back = () => {
        if (ready) set_ready(false);
        else if (method) set_method(null);
        else go({ at: "one", channel: probe.channel });
    };
    const again = () => {
        set_result(null);
        set_ready(false);
        set_method(null);
    };
    return (
        <>
            <LiveReading {...part} />
            {hindered && <p class="hindered">{hindered}</p>}
            {result && <Outcome {...part} result={result} again={again} />}
            {!result && !method && <Methods choose={set_method} />}
            {!result && method && !ready && <Prepare method={method} next={() => set_ready(true)} back={back} />}
            {!result && method && ready && <Take {...part} method={method} back={back} done={set_result} />}
        </>
    );
}

function LiveReading({ model, probe, rows }: OfProbe) {
    const scale = model.settings.scale;
    const steady = steadiness(rows, probe.channel);
    return (
        <div class="live-reading" data-steady={steady.is}>
            <p>
                reads{" "}
                <strong>
                    <Degrees c={probe.reads_c} scale={scale} />
                </strong>{" "}
                uncorrected
            </p>
            <p class="steady">
                <AsideMark shape={steady.is === "steady" ? "tick" : "clock"} />
                <span>{steadiness_words(steady, scale)}</span>
            </p>
        </div>
    );
}

function Methods({ choose }: { choose: (method: CheckMethod) => void }) {
    return (
        <fieldset class="methods" aria-label="against what">
            <h3>Step 1 of 3: against what?</h3>
            {kMethods.map((method) => (
                <button key={method} type="button" class="plain" onClick={() => choose(method)}>
                    <strong>{kGuides[method].name}</strong>
                    <span class="small">{unbroken(kGuides[method].short)}</span>
                </button>
            ))}
        </fieldset>
    );
}

function Prepare({ method, next, back }: { method: CheckMethod; next: () => void; back: () => void }) {
    const guide = kGuides[method];
    return (
        <>
            <h3>Step 2 of 3: {guide.name}</h3>
            <p class="caution">
                <strong>Caution:</strong> {guide.caution}
            </p>
            <ol>
                {guide.steps.map((step) => (
                    <li key={step}>{unbroken(step)}</li>
                ))}
            </ol>
            <fieldset>
                <button type="button" class="plain" onClick={back}>
                    one step back
                </button>
                <button type="button" class="plain act" onClick={next}>
                    it is in: next
                </button>
            </fieldset>
        </>
    );
}

interface TakePart extends OfProbe {
    method: CheckMethod;
    back: () => void;
    done: (result: Result) => void;
}

function Take({ model, probe, site, who, set_who, hindered, refresh, method, back, done }: TakePart) {
    const [typed, set_typed] = useState<TypedCheck>({ pressure: "", is: "", note: "" });
    const set = (part: Partial<TypedCheck>) => set_typed({ ...typed, ...part });
    const scale = model.settings.scale;
    const fields = check_fields(method, typed, site.boiling_point_c !== null, scale);
    const take = async () => {
        const body = { channel: probe.channel, who: who.trim(), ...fields };
        const outcome = await model.tell_probes("/api/probes/check", body);
        if (!outcome.done) return;
        const probes = await refresh();
        const told = probes?.probes.find((each) => each.channel === probe.channel)?.last_check ?? null;
        done({ words: outcome.answer || outcome.text, check: told?.at === probe.last_check?.at ? null : told });
    };
    return (
        <>
            <h3>Step 3 of 3: take the check</h3>
            <fieldset>
                {method === "boiling_point" && (
                    <Field
                        label="air pressure at the site, hPa"
                        decimal
                        most={7}
                        value={typed.pressure}
                        set={(pressure) => set({ pressure })}
                    />
                )}
                {method === "comparison" && (
                    <Field
                        label={`the other one reads, ${unit_symbol(scale)}`}
                        most={8}
                        value={typed.is}
                        set={(is) => set({ is })}
                    />
                )}
                <Field label="your name" most={64} value={who} set={set_who} />
                <Field label="a note, where there is one" most={200} value={typed.note} set={(note) => set({ note })} />
            </fieldset>
            {method === "boiling_point" && (
                <p class="small">
                    As measured here, not reduced to sea level. {boiling_words(site.boiling_point_c, scale)}
                </p>
            )}
            <fieldset>
                <button type="button" class="plain" onClick={back}>
                    one step back
                </button>
                <button
                    type="button"
                    class="plain act"
                    disabled={hindered !== "" || fields === null || who.trim() === ""}
                    onClick={() => void take()}
                >
                    take this check
                </button>
            </fieldset>
        </>
    );
}

function Outcome({ model, probe, go, result, again }: OfProbe & { result: Result; again: () => void }) {
    const scale = model.settings.scale;
    const channel = probe.channel;
    const check = result.check;
    const points = check ? with_point(probe.calibration, check) : [];
    const many = probe.calibration.length;
    return (
        <>
            <p class="do-first">{unbroken(result.words)}</p>
            <p>
                It is in the record. What is shown stays as it is until somebody corrects it.
                {check &&
                    unbroken(
                        ` This check: reads ${degrees(check.reads_c, scale)} uncorrected, true ${degrees(check.is_c, scale)}.`,
                    )}
            </p>
            <fieldset>
                {check && many > 0 && (
                    <button type="button" class="plain act" onClick={() => go({ at: "correct", channel, points })}>
                        add it to the correction…
                    </button>
                )}
                {check && (
                    <button
                        type="button"
                        class={many > 0 ? "plain" : "plain act"}
                        onClick={() => go({ at: "correct", channel, points: with_point([], check) })}
                    >
                        correct by this check alone…
                    </button>
                )}
                <button type="button" class="plain" onClick={again}>
                    another check
                </button>
                <button type="button" class="plain" onClick={() => go({ at: "one", channel })}>
                    leave it as it is
                </button>
            </fieldset>
        </>
    );
}

// Step by step, when a sounder is set up or moved: can it be heard where people stand, over the noise of the machines,
// without hurting anybody? The daemon has no place for the result, so it is kept on this tablet, and says so.
import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import {
    kMost,
    kOverNoise,
    type Loudness,
    level_of,
    load_loudness,
    loudness_faults,
    save_loudness,
    words,
} from "../logic/loudness";
import { clock_day, unbroken } from "../logic/words";
import { AlarmSheet } from "./AlarmSheet";
import type { Part } from "./Dialogs";
import { Field } from "./fields";
import { TestNow } from "./SoundersDialog";

interface Typed {
    noise: string;
    alarm: string;
    most: string;
    heard: boolean | null;
}

const kSteps = 4;

function measured(typed: Typed): Loudness | null {
    const [noise, alarm, most] = [level_of(typed.noise), level_of(typed.alarm), level_of(typed.most)];
    if (noise === null || alarm === null || most === null || typed.heard === null) return null;
    return { noise, alarm, most, heard: typed.heard };
}

export function LoudnessWalk({ model, status, leave }: Part & { leave: () => void }) {
    const [step, set_step] = useState(1);
    const [kept, set_kept] = useState(false);
    const [typed, set_typed] = useState<Typed>({ noise: "", alarm: "", most: String(kMost), heard: null });
    const set = (part: Partial<Typed>) => set_typed({ ...typed, ...part });
    const done = [true, level_of(typed.noise) !== null, level_of(typed.alarm) !== null, measured(typed) !== null][
        step - 1
    ];
    const next = () => {
        const result = step === kSteps ? measured(typed) : null;
        if (result) set_kept(save_loudness({ ...result, utc: status.utc }));
        set_step(step + 1);
    };
    const title = step > kSteps ? "Can it be heard: the result" : `Can it be heard? Step ${step} of ${kSteps}`;
    return (
        <AlarmSheet model={model} status={status} title={title}>
            {step === 1 && <Remembered />}
            {step === 1 && (
                <Step text="Switch on all that runs while you roast: drum, cooler, extraction, oxidiser, grinder. Stand where the operator stands, with a sound-level meter set to dB(A)." />
            )}
            {step === 2 && (
                <Step text="Measure the noise there, without any alarm.">
                    <Field label="noise, dB(A)" decimal most={5} value={typed.noise} set={(noise) => set({ noise })} />
                </Step>
            )}
            {step === 3 && (
                <Step text="Play the test and read the meter at the same place. It is a short chirp of each sounder in turn: let the meter hold its highest level.">
                    <Field
                        label="with the sounder, dB(A)"
                        decimal
                        most={5}
                        value={typed.alarm}
                        set={(alarm) => set({ alarm })}
                    />
                    <TestNow model={model} status={status} />
                </Step>
            )}
            {step === 4 && (
                <Step text="Let everybody who works there listen to it once more, with hearing protection if it is worn. Could all hear it plainly over the noise?">
                    <Heard typed={typed} set={set} />
                    <Field
                        label="most that is allowed here, dB(A)"
                        decimal
                        most={5}
                        value={typed.most}
                        set={(most) => set({ most })}
                    />
                    <TestNow model={model} status={status} />
                </Step>
            )}
            {step > kSteps && <Result typed={typed} kept={kept} />}
            <fieldset class="steps">
                <button
                    type="button"
                    class="plain act"
                    onClick={() => (step === 1 || step > kSteps ? leave() : set_step(step - 1))}
                >
                    {step === 1 || step > kSteps ? "back to the sounders" : "one step back"}
                </button>
                {step <= kSteps && (
                    <button type="button" class="plain act" disabled={!done} onClick={next}>
                        {step === kSteps ? "what came of it" : "next"}
                    </button>
                )}
            </fieldset>
            <p class="small">
                At least {kOverNoise} dB(A) over the noise and at most {kMost} dB(A), or what the site allows (ISO 7731
                as public guidance tells it). The site's own rules for noise come first.
            </p>
        </AlarmSheet>
    );
}

function Step({ text, children }: { text: string; children?: ComponentChildren }) {
    return (
        <>
            <p class="do-first">{unbroken(text)}</p>
            {children && <fieldset>{children}</fieldset>}
        </>
    );
}

function Heard({ typed, set }: { typed: Typed; set: (part: Partial<Typed>) => void }) {
    return [true, false].map((heard) => (
        <button
            key={String(heard)}
            type="button"
            class={typed.heard === heard ? "plain chosen" : "plain"}
            aria-pressed={typed.heard === heard}
            onClick={() => set({ heard })}
        >
            {heard ? "yes, all" : "no"}
        </button>
    ));
}

function verdict_of(result: Loudness): string {
    const levels = `${words(result.alarm)} dB(A) in ${words(result.noise)} dB(A) of noise`;
    return loudness_faults(result).length === 0 ? `✓ It will do: ${levels}.` : `✕ It won't do: ${levels}.`;
}

function Result({ typed, kept }: { typed: Typed; kept: boolean }) {
    const result = measured(typed);
    if (!result) return null;
    const faults = loudness_faults(result);
    return (
        <>
            <p class="do-first">{unbroken(verdict_of(result))}</p>
            <ul>
                {faults.map((fault) => (
                    <li key={fault}>{unbroken(fault)}</li>
                ))}
            </ul>
            {faults.length > 0 && (
                <p>Move the sounder nearer, take a louder or a quieter one, or add one; then check it again.</p>
            )}
            <p>
                <strong>{kept ? "This is kept on this tablet only:" : "This tablet's browser keeps nothing:"}</strong>{" "}
                the record does not have it. Write it into the site's own papers.
            </p>
        </>
    );
}

/** What this tablet knows from last time. */
function Remembered() {
    const result = load_loudness();
    if (!result) return <p>On this tablet no such check is remembered.</p>;
    return (
        <p>
            Last time, on {clock_day(result.utc)}, kept on this tablet only: {unbroken(verdict_of(result))}
        </p>
    );
}

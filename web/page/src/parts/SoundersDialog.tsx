// Every sounder and light with its state and its last test, a test now, and the way to see whether they can be heard.
import { useState } from "preact/hooks";
import type { Sounder } from "../logic/api";
import { clock_day, clock_time, unbroken } from "../logic/words";
import { AlarmSheet } from "./AlarmSheet";
import type { Part } from "./Dialogs";
import { LoudnessWalk } from "./LoudnessWalk";
import { AsideMark } from "./marks";

const kKinds: Record<string, string> = {
    coil: "a coil on a bus",
    gpio: "a line of the box",
    command: "a command of the site",
};

function tested_words(sounder: Sounder): string {
    if (!sounder.tested_at) return "not tested since the start";
    return `tested on ${clock_day(sounder.tested_at)} at ${clock_time(sounder.tested_at)}`;
}

export function SoundersDialog(part: Part) {
    const { model, status } = part;
    const [walking, set_walking] = useState(false);
    const sounders = status.sounders ?? [];
    if (walking) return <LoudnessWalk {...part} leave={() => set_walking(false)} />;
    return (
        <AlarmSheet model={model} status={status} title={sounders.length === 0 ? "No sounder is set up" : "Sounders"}>
            {sounders.length === 0 && (
                <p>
                    This station's configuration lists none: alarms are seen here, and heard only where a tablet's sound
                    is armed.
                </p>
            )}
            {sounders.map((sounder) => (
                <div key={sounder.name} class="aside-row" data-working={sounder.working}>
                    <AsideMark shape={sounder.working ? "bell" : "mute"} />
                    <div class="aside-words">
                        <p class="aside-title">
                            sounder {sounder.name}: {sounder.working ? "works" : "failed"}
                        </p>
                        {!sounder.working && <p>{unbroken(sounder.why)}</p>}
                        <p class="small">
                            {kKinds[sounder.kind] ?? sounder.kind}, {unbroken(tested_words(sounder))}
                        </p>
                    </div>
                </div>
            ))}
            <fieldset>
                {sounders.length > 0 && <TestNow {...part} />}
                <button type="button" class="plain act" onClick={() => set_walking(true)}>
                    can it be heard? check the loudness…
                </button>
            </fieldset>
        </AlarmSheet>
    );
}

/** All in turn, a short chirp of each: the daemon knows no test of one. */
export function TestNow({ model }: Part) {
    const test = async () => {
        const outcome = await model.command("/api/sounders/test");
        if (outcome.done) model.say(outcome.text || outcome.answer || "");
    };
    return (
        <button type="button" class="plain act" disabled={!model.live()} onClick={() => void test()}>
            test them all now
        </button>
    );
}

// To put an alarm aside: for a while with a reason, or out of service under a name. What the daemon refuses all the
// same is said in its own words, at the foot of the sheet.
import { useState } from "preact/hooks";
import type { Alarm } from "../logic/api";
import { kShelfMinutes, kShelfReasons, kShelfUsual } from "../logic/aside";
import type { Model } from "../model";
import { Choices, Field } from "./fields";

interface Part {
    model: Model;
    alarm: Alarm;
    leave: () => void;
}

/** Once it is done the list shows it. */
async function put_aside(model: Model, path: string, body: Record<string, unknown>): Promise<void> {
    const outcome = await model.command(path, body);
    if (outcome.done) model.show("aside");
}

function Buttons(props: { act: string; ready: boolean; leave: () => void }) {
    return (
        <fieldset>
            <button type="submit" class="plain act" disabled={!props.ready}>
                {props.act}
            </button>
            <button type="button" class="plain" onClick={props.leave}>
                leave it
            </button>
        </fieldset>
    );
}

export function Shelve({ model, alarm, leave }: Part) {
    const [minutes, set_minutes] = useState(kShelfUsual);
    const [reason, set_reason] = useState("");
    const [who, set_who] = useState("");
    const ready = model.live() && reason.trim() !== "";
    const body = { rule: alarm.rule, minutes, text: reason.trim(), ...(who.trim() ? { who: who.trim() } : {}) };
    return (
        <form
            onSubmit={(event) => {
                event.preventDefault();
                if (ready) void put_aside(model, "/api/alarms/shelve", body);
            }}
        >
            <p>It does not sound for so long. It comes back by itself, at the latest when the batch is over.</p>
            <Choices
                label="for"
                now={minutes}
                choices={kShelfMinutes.map((each) => ({ value: each, words: `${each} min` }))}
                choose={set_minutes}
            />
            <Choices
                label="because"
                now={reason}
                choices={kShelfReasons.map((each) => ({ value: each, words: each }))}
                choose={set_reason}
            />
            <fieldset>
                <Field label="or in your own words" most={200} value={reason} set={set_reason} />
                <Field label="your name (who shelves without one is counted)" most={64} value={who} set={set_who} />
            </fieldset>
            <Buttons act={`shelve for ${minutes} min`} ready={ready} leave={leave} />
        </form>
    );
}

export function TakeOut({ model, alarm, leave }: Part) {
    const [reason, set_reason] = useState("");
    const [who, set_who] = useState("");
    const ready = model.live() && reason.trim() !== "" && who.trim() !== "";
    const body = { rule: alarm.rule, text: reason.trim(), who: who.trim() };
    return (
        <form
            onSubmit={(event) => {
                event.preventDefault();
                if (ready) void put_aside(model, "/api/alarms/out-of-service", body);
            }}
        >
            <p>It does not sound any more until a named person puts it back, also after a restart.</p>
            <fieldset>
                <Field label="your name" most={64} value={who} set={set_who} />
                <Field label="why" most={200} value={reason} set={set_reason} />
            </fieldset>
            <Buttons act="take it out of service" ready={ready} leave={leave} />
        </form>
    );
}

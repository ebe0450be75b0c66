// All alarms that are present. In a flood the high ones stay listed; the others are a count until it is opened.
import { useState } from "preact/hooks";
import { counted_words, response_words, split_flood, state_words } from "../logic/alarms";
import type { Alarm } from "../logic/api";
import { aside_count, aside_kinds, failed_words } from "../logic/aside";
import { age_words, unbroken } from "../logic/words";
import type { Model } from "../model";
import { AlarmButtons } from "./AlarmButtons";
import { AlarmSheet } from "./AlarmSheet";
import { More, PriorityShape } from "./common";
import type { Part } from "./Dialogs";
import { AsideMark } from "./marks";

export function AlarmsDialog({ model, status }: Part) {
    const [open, set_open] = useState(false);
    const flood = status.alarm_flood === true;
    const { shown, folded } = split_flood(status.alarms, flood);
    const many = status.alarms.length;
    return (
        <AlarmSheet model={model} status={status} title={many === 0 ? "No alarms" : `Alarms: ${many}`}>
            <Marks model={model} status={status} />
            {flood && (
                <p class="flood">
                    <strong>Flood of alarms:</strong> over 10 in 10 min. Deal with the high ones first
                    {folded.length > 0 && `; ${folded.length} lower ones are below`}.
                </p>
            )}
            {many === 0 && <p>Nothing asks for a hand now.</p>}
            {shown.map((alarm) => (
                <Listed key={alarm.id} model={model} alarm={alarm} />
            ))}
            {folded.length > 0 && (
                <button type="button" class="plain fold" aria-expanded={open} onClick={() => set_open(!open)}>
                    {open ? "hide" : "show"} {folded.length} lower: {unbroken(counted_words(folded))}
                </button>
            )}
            {open && folded.map((alarm) => <Listed key={alarm.id} model={model} alarm={alarm} />)}
        </AlarmSheet>
    );
}

/** What the corner's mark opened this for. */
function Marks({ model, status }: Part) {
    const aside = status.alarms_put_aside ?? [];
    const failed = failed_words(status.sounders);
    return (
        <div class="mark-rows">
            {aside.length > 0 && (
                <button type="button" class="plain mark-row" onClick={() => model.show("aside")}>
                    <AsideMark shape="clock" />
                    {aside_count(aside)}: {unbroken(aside_kinds(aside))}
                </button>
            )}
            {failed && (
                <button type="button" class="plain mark-row" onClick={() => model.show("sounders")}>
                    <AsideMark shape="mute" />
                    {failed}
                </button>
            )}
        </div>
    );
}

function Listed({ model, alarm }: { model: Model; alarm: Alarm }) {
    return (
        <div class={`alarm listed ${alarm.priority}`}>
            <button
                type="button"
                class="alarm-open"
                title="causes, time allowed and more of this alarm"
                onClick={() => model.show_alarm(alarm.id)}
            >
                <PriorityShape priority={alarm.priority} />
                <span class="alarm-words">
                    <span class="alarm-title">
                        {unbroken(alarm.text.replaceAll("_", " "))}
                        <More />
                    </span>
                    <span class="alarm-state">
                        {alarm.priority}, {state_words(alarm)}, since {unbroken(age_words(alarm.since_s))}
                    </span>
                    <span class="alarm-response">{unbroken(response_words(alarm))}</span>
                </span>
            </button>
            <div class="alarm-buttons">
                <AlarmButtons model={model} alarm={alarm} />
            </div>
        </div>
    );
}

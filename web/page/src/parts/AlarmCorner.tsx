// Bottom left: the highest alarm in full (shape, number, word, what to do, and the buttons), the others as a counted
// list one tap away; or, where nothing is wrong, the state of sound, link, record and probes in words.

import {
    can_acknowledge,
    can_reset,
    in_order,
    is_over,
    kShape,
    others_words,
    response_words,
    state_words,
} from "../logic/alarms";
import type { Alarm, Status } from "../logic/api";
import { probes_words } from "../logic/view";
import { age_words, unbroken } from "../logic/words";
import type { Model } from "../model";
import { PriorityShape, use_fit } from "./common";

interface Part {
    model: Model;
    status: Status;
}

export function AlarmCorner({ model, status, wide }: Part & { wide: boolean }) {
    const [first, ...others] = in_order(status.alarms);
    return (
        <section class="corner" aria-label="alarms">
            {first ? (
                <AlarmPanel model={model} alarm={first} others={others} wide={wide} />
            ) : (
                <Quiet model={model} status={status} />
            )}
            <button type="button" class="plain safety" onClick={() => model.show("safety")}>
                Watches only: no safety device.
            </button>
        </section>
    );
}

export function AlarmPanel(props: { model: Model; alarm: Alarm; others: Alarm[]; wide: boolean }) {
    const { model, alarm, others, wide } = props;
    const live = model.live();
    const title = unbroken(alarm.text.replaceAll("_", " "));
    const since = live ? `since ${age_words(alarm.since_s)}` : "as last heard";
    const response = unbroken(response_words(alarm));
    const fit = use_fit<HTMLDivElement>([title, response, alarm.state, wide, others.length].join());
    return (
        <div
            ref={fit}
            class={`alarm ${alarm.priority}${wide ? " wide" : ""}`}
            role="alert"
            data-shape={kShape[alarm.priority]}
        >
            <PriorityShape priority={alarm.priority} flash={live && can_acknowledge(alarm) && !is_over(alarm)} />
            <div class="alarm-words">
                <p class="alarm-title">{title}</p>
                <p class="alarm-state">
                    {alarm.priority}, {state_words(alarm)}, {unbroken(since)}
                </p>
                <p class="alarm-response">{response}</p>
            </div>
            <div class="alarm-buttons">
                <AlarmButtons model={model} alarm={alarm} />
                {others.length > 0 && (
                    <button type="button" class="more" onClick={() => model.show("alarms")}>
                        {unbroken(others_words(others))}
                    </button>
                )}
            </div>
        </div>
    );
}

export function AlarmButtons({ model, alarm }: { model: Model; alarm: Alarm }) {
    const live = model.live();
    const act = (verb: string) => void model.command(`/api/alarms/${alarm.id}/${verb}`);
    return (
        <>
            {can_acknowledge(alarm) && (
                <button type="button" class="firm" disabled={!live} onClick={() => act("acknowledge")}>
                    acknowledge
                </button>
            )}
            {can_acknowledge(alarm) && !alarm.silenced && !is_over(alarm) && (
                <button type="button" disabled={!live} onClick={() => void model.command("/api/alarms/silence")}>
                    silence
                </button>
            )}
            {can_reset(alarm) && (
                <button type="button" class="firm" disabled={!live} onClick={() => act("reset")}>
                    reset
                </button>
            )}
        </>
    );
}

function Quiet({ model, status }: Part) {
    const live = model.live();
    const sound = model.sound.state();
    if (!live)
        return (
            <div class="quiet-corner">
                <p class="no-alarms">nothing is watched here</p>
                <p>alarms, record and probes: not known</p>
                <p>Go by the machine's own instruments.</p>
                <p>The page goes on by itself when the daemon answers.</p>
            </div>
        );
    const troubles = [
        ...(status.links ?? []),
        ...(status.record?.writing === false ? [`record: ${status.record.text}`] : []),
    ];
    return (
        <div class="quiet-corner">
            <p class="no-alarms">no alarms</p>
            {troubles.length === 0 && <p>link live · record safe</p>}
            {troubles.map((trouble) => (
                <p key={trouble} class="trouble">
                    {unbroken(trouble)}
                </p>
            ))}
            <p>{probes_words(status)}</p>
            {sound === "armed" ? (
                <p>this tablet's sound is armed</p>
            ) : (
                <button type="button" class="plain" onClick={() => void model.sound.arm().then(model.redraw)}>
                    tap to arm sound
                </button>
            )}
        </div>
    );
}

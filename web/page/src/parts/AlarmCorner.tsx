// Bottom left: the highest alarm in full (shape, number, word, what to do, and the buttons), the others as a counted
// list one tap away; or, where nothing is wrong, the state of sound, link, record and probes in words. Beside it what
// must be seen without opening anything: alarms that are put aside, and a sounder that can't be heard.

import { is_over, kShape, needs_hand, needs_room, response_words, split_flood, state_words } from "../logic/alarms";
import type { Alarm, Status } from "../logic/api";
import { failed_sounders } from "../logic/aside";
import { limiter_words } from "../logic/limiter";
import { probes_words } from "../logic/view";
import { age_words, unbroken } from "../logic/words";
import type { Model } from "../model";
import { AlarmButtons } from "./AlarmButtons";
import { CornerSide } from "./CornerSide";
import { More, PriorityShape, use_fit } from "./common";

interface Part {
    model: Model;
    status: Status;
}

/** Whether the corner needs the companion's place too. */
export function needs_width(status: Status): boolean {
    if (status.alarms.length === 0) return false;
    const aside = (status.alarms_put_aside ?? []).length + failed_sounders(status.sounders).length;
    return status.alarms.length > 1 || aside > 0 || status.alarms.some((each) => needs_hand(each) || needs_room(each));
}

export function AlarmCorner({ model, status, wide }: Part & { wide: boolean }) {
    const flood = status.alarm_flood === true;
    const { shown, folded } = split_flood(status.alarms, flood);
    const [first, ...others] = shown;
    const limiter = limiter_words(status.limiter, status.reminders);
    return (
        <section class="corner" aria-label="alarms">
            <div class="corner-row">
                {first ? (
                    <AlarmPanel model={model} alarm={first} others={others} flood={flood} wide={wide} />
                ) : (
                    <Quiet model={model} status={status} />
                )}
                {(wide || !first) && (
                    <CornerSide model={model} status={status} others={[...others, ...folded]} flood={flood} />
                )}
            </div>
            <button type="button" class="plain safety" onClick={() => model.show("safety")}>
                Watches only: no safety device.
                {limiter.short && <span class="limiter-short"> {limiter.short}</span>}
            </button>
        </section>
    );
}

const kAlsoNamed = 2;

/** Other high ones are named: what is graver than the rest never hides behind a count. */
function also_words(others: Alarm[]): string[] {
    const high = others.filter((each) => each.priority === "high");
    const named = high.slice(0, kAlsoNamed).map((each) => `also high: ${each.text.replaceAll("_", " ")}`);
    return high.length > kAlsoNamed ? [...named, `and ${high.length - kAlsoNamed} more high`] : named;
}

interface PanelPart {
    model: Model;
    alarm: Alarm;
    others: Alarm[];
    flood: boolean;
    wide: boolean;
}

export function AlarmPanel({ model, alarm, others, flood, wide }: PanelPart) {
    const live = model.live();
    const title = unbroken(alarm.text.replaceAll("_", " "));
    const since = live ? `since ${age_words(alarm.since_s)}` : "as last heard";
    const response = unbroken(response_words(alarm));
    const also = also_words(others);
    const fit = use_fit<HTMLDivElement>([title, response, alarm.state, wide, flood, ...also].join());
    const waits = alarm.state.includes("unacknowledged") && !is_over(alarm);
    return (
        <div
            ref={fit}
            class={`alarm ${alarm.priority}${wide ? " wide" : ""}`}
            role="alert"
            data-shape={kShape[alarm.priority]}
        >
            <button
                type="button"
                class="alarm-open"
                title="causes, time allowed and more of this alarm"
                onClick={() => model.show_alarm(alarm.id)}
            >
                <PriorityShape priority={alarm.priority} flash={live && waits} />
                <span class="alarm-words">
                    <span class="alarm-title">
                        {title}
                        <More />
                    </span>
                    <span class="alarm-state">
                        {alarm.priority}, {state_words(alarm)}, {unbroken(since)}
                    </span>
                    <span class="alarm-response">{response}</span>
                    {also.map((each) => (
                        <span key={each} class="alarm-also">
                            {unbroken(each)}
                        </span>
                    ))}
                </span>
            </button>
            <div class="alarm-buttons">
                <AlarmButtons model={model} alarm={alarm} />
            </div>
        </div>
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
            <div class="quiet-row">
                {sound === "armed" ? (
                    <p>this tablet's sound is armed</p>
                ) : (
                    <button type="button" class="plain" onClick={() => void model.sound.arm().then(model.redraw)}>
                        tap to arm sound
                    </button>
                )}
                <button type="button" class="plain" onClick={() => model.show("probes")}>
                    probes…
                </button>
            </div>
        </div>
    );
}

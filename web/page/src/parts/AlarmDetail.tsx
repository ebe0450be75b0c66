// One alarm in full: what to do first and large, then why it may be, what follows, how much time there is and whose
// it is; what a hand may do; and that none of this is a safety function. Putting it aside is offered only where the
// daemon would not refuse it.
import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import { response_words, state_words } from "../logic/alarms";
import type { Alarm } from "../logic/api";
import { allowed_words, measured_words } from "../logic/aside";
import { limiter_words } from "../logic/limiter";
import { age_words, unbroken } from "../logic/words";
import { AlarmButtons } from "./AlarmButtons";
import { AlarmSheet } from "./AlarmSheet";
import { PriorityShape } from "./common";
import type { Part } from "./Dialogs";
import { Shelve, TakeOut } from "./PutAsideForms";

const kOfProbes = ["bean_probe_fault", "probe_fault"];

type Open = "" | "shelve" | "out";

export function AlarmDetail(part: Part) {
    const { model, status } = part;
    const [open, set_open] = useState<Open>("");
    const alarm = status.alarms.find((each) => each.id === model.alarm);
    if (!alarm)
        return (
            <AlarmSheet {...part} title="This alarm is no longer present">
                <p>It has ended, or it was put aside.</p>
            </AlarmSheet>
        );
    const title = unbroken(alarm.text.replaceAll("_", " "));
    const leave = () => set_open("");
    if (open === "shelve" && alarm.can_shelve)
        return (
            <AlarmSheet {...part} title={`Shelve: ${title}`}>
                <Shelve model={model} alarm={alarm} leave={leave} />
            </AlarmSheet>
        );
    if (open === "out" && alarm.can_take_out)
        return (
            <AlarmSheet {...part} title={`Out of service: ${title}`}>
                <TakeOut model={model} alarm={alarm} leave={leave} />
            </AlarmSheet>
        );
    return (
        <AlarmSheet {...part} title={title}>
            <First {...part} alarm={alarm} />
            <Why alarm={alarm} />
            <NoSafety {...part} />
            {kOfProbes.includes(alarm.rule) && (
                <fieldset>
                    <button type="button" class="plain" onClick={() => model.show("probes")}>
                        the probes…
                    </button>
                </fieldset>
            )}
            <Offers alarm={alarm} open={set_open} />
        </AlarmSheet>
    );
}

function First({ model, alarm }: Part & { alarm: Alarm }) {
    return (
        <div class={`alarm listed ${alarm.priority} of-detail`}>
            <PriorityShape priority={alarm.priority} />
            <div class="alarm-words">
                <p class="alarm-state">
                    {alarm.priority}, {state_words(alarm)}, since {unbroken(age_words(alarm.since_s))}
                </p>
                <h3>do first</h3>
                <p class="do-first">{unbroken(response_words(alarm))}</p>
            </div>
            <div class="alarm-buttons">
                <AlarmButtons model={model} alarm={alarm} />
            </div>
        </div>
    );
}

function Row({ name, children }: { name: string; children: ComponentChildren }) {
    if (!children) return null;
    return (
        <>
            <dt>{name}</dt>
            <dd>{children}</dd>
        </>
    );
}

/** "246.2 °C, limit 240.0 °C". */
function measured_sentence(alarm: Alarm): string {
    const value = measured_words(alarm.value, alarm.unit);
    const limit = measured_words(alarm.limit, alarm.unit);
    return value && limit ? `${value}, limit ${limit}` : value;
}

function Why({ alarm }: { alarm: Alarm }) {
    return (
        <dl class="of-alarm">
            <Row name="likely causes">{alarm.causes}</Row>
            <Row name="if nobody acts">{alarm.consequence}</Row>
            <Row name="begin">{unbroken(allowed_words(alarm))}</Row>
            <Row name="whose it is">{alarm.owner}</Row>
            <Row name="measured">{unbroken(measured_sentence(alarm))}</Row>
        </dl>
    );
}

function NoSafety({ status }: Pick<Part, "status">) {
    const limiter = limiter_words(status.limiter, status.reminders);
    return (
        <p class="no-safety">
            <strong>This is no safety function.</strong> The machine's own limiter and manual and the site's plan come
            first. {unbroken(limiter.sentence)} {unbroken(limiter.note)}
        </p>
    );
}

function Offers({ alarm, open }: { alarm: Alarm; open: (which: Open) => void }) {
    if (!alarm.can_shelve && !alarm.can_take_out) return <p class="small">It can't be put aside now.</p>;
    return (
        <fieldset>
            {alarm.can_shelve && (
                <button type="button" class="plain" onClick={() => open("shelve")}>
                    shelve for a while…
                </button>
            )}
            {alarm.can_take_out && (
                <button type="button" class="plain secondary" onClick={() => open("out")}>
                    take out of service…
                </button>
            )}
        </fieldset>
    );
}

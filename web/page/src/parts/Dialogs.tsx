// What is one tap away: reasons, the other alarms, the roast's other marks, settings, the safety words.
import type { ComponentChildren } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { in_order, response_words, state_words } from "../logic/alarms";
import type { Status } from "../logic/api";
import { age_words, kVerdictMeaning, unbroken } from "../logic/words";
import type { Model } from "../model";
import { AlarmButtons } from "./AlarmCorner";
import { BatchDialog } from "./BatchDialog";
import { PriorityShape } from "./common";
import { RoastDialog } from "./RoastDialog";
import { SettingsDialog } from "./SettingsDialog";
import { WhyDeviation, WhyDrop, WhyForecast, WhyMilestones, WhyMove } from "./WhyDialogs";

export interface Part {
    model: Model;
    status: Status;
}

export function Dialogs(part: Part) {
    switch (part.model.dialog) {
        case "deviation":
            return <WhyDeviation {...part} />;
        case "forecast":
            return <WhyForecast {...part} />;
        case "milestones":
            return <WhyMilestones {...part} />;
        case "move":
            return <WhyMove {...part} />;
        case "drop":
            return <WhyDrop {...part} />;
        case "batch":
            return <BatchDialog model={part.model} />;
        case "verdict":
            return <Verdict {...part} />;
        case "safety":
            return <Safety {...part} />;
        case "settings":
            return <SettingsDialog {...part} />;
        case "alarms":
            return <Alarms {...part} />;
        case "roast":
            return <RoastDialog {...part} />;
        default:
            return null;
    }
}

export function Sheet(props: { model: Model; title: string; children: ComponentChildren }) {
    const ref = useRef<HTMLDialogElement>(null);
    const open = useRef(true);
    useEffect(() => {
        const dialog = ref.current;
        dialog?.showModal();
        return () => {
            open.current = false; // the close event comes later, when another sheet may be open
            dialog?.close();
        };
    }, []);
    return (
        <dialog ref={ref} aria-label={props.title} onClose={() => open.current && props.model.show(null)}>
            <h2>{props.title}</h2>
            <div class="sheet">{props.children}</div>
            {/* Has the focus, or a tablet would open its keyboard over a sheet with a field. */}
            <button type="button" class="firm" autofocus onClick={() => props.model.show(null)}>
                close
            </button>
        </dialog>
    );
}

function Verdict({ model, status }: Part) {
    const verdict = status.last_verdict;
    return (
        <Sheet model={model} title={verdict ? `Roast ${verdict.roast}: ${verdict.disposition}` : "No verdict yet"}>
            {verdict && <p>{kVerdictMeaning[verdict.disposition]}.</p>}
            <ul>
                {verdict?.reasons.map((reason) => (
                    <li key={reason.text}>
                        {unbroken(reason.text)}
                        {reason.calls_for && reason.calls_for !== "clear" ? ` (${reason.calls_for})` : ""}
                    </li>
                ))}
            </ul>
            {verdict?.reasons.length === 0 && <p>Nothing was out of its limits.</p>}
        </Sheet>
    );
}

function Safety({ model, status }: Part) {
    return (
        <Sheet model={model} title="Watches only: no safety device">
            <p>
                Drumwatch watches and records. It is not burner management, not a high-limit control, not fire or gas
                detection, and it lowers no risk that you may count on. It never opens gas and never energises heat.
            </p>
            <p>
                The machine's manual, the site's fire plan, local fire and gas codes and licensed technicians come
                first. It gives no instructions of its own about fire or gas.
            </p>
            <h3>Independent limiter</h3>
            <p>{status.limiter || "None stated."}</p>
            <h3>Site card</h3>
            <p>{status.site_card || "No card is set for this station."}</p>
            <p class="small">
                {status.machine ? `${status.machine}. ` : ""}
                {status.build ? `Build ${status.build}.` : ""}
            </p>
        </Sheet>
    );
}

function Alarms({ model, status }: Part) {
    const alarms = in_order(status.alarms);
    return (
        <Sheet model={model} title={`Alarms: ${alarms.length}`}>
            {alarms.map((alarm) => (
                <div key={alarm.id} class={`alarm listed ${alarm.priority}`}>
                    <PriorityShape priority={alarm.priority} />
                    <div class="alarm-words">
                        <p class="alarm-title">{unbroken(alarm.text.replaceAll("_", " "))}</p>
                        <p class="alarm-state">
                            {alarm.priority}, {state_words(alarm)}, since {unbroken(age_words(alarm.since_s))}
                        </p>
                        <p class="alarm-response">{unbroken(response_words(alarm))}</p>
                    </div>
                    <div class="alarm-buttons">
                        <AlarmButtons model={model} alarm={alarm} />
                    </div>
                </div>
            ))}
        </Sheet>
    );
}

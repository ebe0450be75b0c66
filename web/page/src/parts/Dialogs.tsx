// What is one tap away: reasons, everything of alarms, the roast's other marks, settings, the safety words.
import type { Status } from "../logic/api";
import { limiter_words } from "../logic/limiter";
import { kVerdictMeaning, unbroken } from "../logic/words";
import type { Model } from "../model";
import { AlarmDetail } from "./AlarmDetail";
import { AlarmsDialog } from "./AlarmsDialog";
import { AsideDialog } from "./AsideDialog";
import { BatchDialog } from "./BatchDialog";
import { CareDialog } from "./CareDialog";
import { ConfirmDialog } from "./ConfirmDialog";
import { FiguresDialog } from "./FiguresDialog";
import { ProbesDialog } from "./ProbesDialog";
import { RoastDialog } from "./RoastDialog";
import { SettingsDialog } from "./SettingsDialog";
import { Sheet } from "./Sheet";
import { SoundersDialog } from "./SoundersDialog";
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
            return <AlarmsDialog {...part} />;
        case "alarm":
            return <AlarmDetail key={part.model.alarm} {...part} />;
        case "aside":
            return <AsideDialog {...part} />;
        case "sounders":
            return <SoundersDialog {...part} />;
        case "figures":
            return <FiguresDialog {...part} />;
        case "care":
            return <CareDialog {...part} />;
        case "probes":
            return <ProbesDialog {...part} />;
        case "confirm":
            return <ConfirmDialog {...part} />;
        case "roast":
            return <RoastDialog {...part} />;
        default:
            return null;
    }
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
    const limiter = limiter_words(status.limiter, status.reminders);
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
            <p>
                {unbroken(limiter.sentence)} {unbroken(limiter.note)}
            </p>
            {!limiter.stated && (
                <p>
                    <strong>Such a limiter acts by itself, with a sensor of its own.</strong> Ask whoever looks after
                    the machine whether it has one, and have it stated in this station's configuration.
                </p>
            )}
            <h3>Site card</h3>
            <p>{status.site_card || "No card is set for this station."}</p>
            <p class="small">
                {status.machine ? `${status.machine}. ` : ""}
                {status.build ? `Build ${status.build}.` : ""}
            </p>
        </Sheet>
    );
}

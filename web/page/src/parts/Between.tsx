// Nothing in the drum: the targets to choose from, and what became of the last batches.
import type { RoastEntry, Status, TargetEntry } from "../logic/api";
import { clock_time, unbroken } from "../logic/words";
import type { Model } from "../model";
import { CareButton } from "./CareDialog";
import { AsideMark } from "./marks";

function entry_words(entry: TargetEntry): string {
    const charge = entry.charge_kg ? `, ${entry.charge_kg.toFixed(1)} kg` : "";
    return `version ${entry.version}, ${entry.status}${charge} · `;
}

export function Plan({ model, status }: { model: Model; status: Status }) {
    const chosen = status.target?.name ?? null;
    const live = model.live();
    return (
        <div class="plan">
            <h2>target for the next roast</h2>
            <div class="choices">
                {model.targets
                    .filter((entry) => entry.status !== "retired")
                    .map((entry) => (
                        <Entry key={entry.name} model={model} entry={entry} chosen={entry.name === chosen} />
                    ))}
                <button
                    type="button"
                    class={chosen === null ? "choice chosen" : "choice"}
                    aria-pressed={chosen === null}
                    disabled={!live}
                    onClick={() => void model.choose(null)}
                >
                    <span class="choice-name">
                        no target
                        {chosen === null && <strong>chosen</strong>}
                    </span>
                    <span class="small">the curve is shown, nothing is judged</span>
                </button>
            </div>
        </div>
    );
}

function Entry({ model, entry, chosen }: { model: Model; entry: TargetEntry; chosen: boolean }) {
    return (
        <>
            <button
                type="button"
                class={chosen ? "choice chosen" : "choice"}
                aria-pressed={chosen}
                disabled={!model.live()}
                onClick={() => void model.choose(entry.name)}
            >
                <span class="choice-name">
                    {entry.coffee || entry.name}
                    {chosen && <strong>chosen</strong>}
                </span>
                <span class="small">
                    {unbroken(entry_words(entry))}
                    <span class="file-name">{entry.name}</span>
                </span>
            </button>
            {entry.confirm && (
                <div class="choice-doubt">
                    <AsideMark shape="due" />
                    <p>{unbroken(entry.confirm)}</p>
                    <button type="button" class="plain" onClick={() => model.show_confirm(entry.name)}>
                        still holds…
                    </button>
                </div>
            )}
        </>
    );
}

function words_of(entry: RoastEntry): string {
    if (entry.verdict) return entry.verdict.disposition;
    return entry.state.replaceAll("_", " ");
}

export function Batches({ model, status }: { model: Model; status: Status }) {
    const cared_for = (status.reminders ?? []).length > 0; // their button takes the room of a row
    const done = model.roasts.filter((entry) => entry.state !== "roasting").slice(0, cared_for ? 3 : 4);
    return (
        <div class="batches">
            <div class="batches-head">
                <h2>{cared_for ? "last batches" : "last batches: tap for reasons and weight"}</h2>
                <CareButton model={model} status={status} />
            </div>
            {done.length === 0 && <p>none in the record yet</p>}
            <div class="batch-rows">
                {done.map((entry) => (
                    <button key={entry.id} type="button" class="batch-row" onClick={() => model.show_batch(entry.id)}>
                        <span class="number">{entry.id}</span>
                        <span class="number">{clock_time(entry.charged_utc)}</span>
                        <span class="coffee">{entry.coffee || "no coffee named"}</span>
                        <span class="verdict">{words_of(entry)}</span>
                    </button>
                ))}
            </div>
        </div>
    );
}

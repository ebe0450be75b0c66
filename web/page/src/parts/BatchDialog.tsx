// One of the last batches: its verdict with the reasons, what was weighed and measured, and its readings as a file.
import { useState } from "preact/hooks";
import type { Milestone, RoastEntry } from "../logic/api";
import { type FactKind, facts_of, kNothingTyped, known_sentence } from "../logic/facts";
import { to_scale, unit_symbol } from "../logic/units";
import { clock_time, kVerdictMeaning, milestone_words, minutes_seconds, plain, unbroken } from "../logic/words";
import type { Model } from "../model";
import { Sheet } from "./Sheet";

const kShown: Milestone[] = ["turning_point", "yellow", "first_crack", "drop"];

function milestones_sentence(entry: RoastEntry, model: Model): string {
    const scale = model.settings.scale;
    const parts = kShown.flatMap((name) => {
        const at = entry.milestones?.[name];
        if (!at) return [];
        const bean = at.bean_c === null ? "" : ` at ${plain(to_scale(at.bean_c, scale))} ${unit_symbol(scale)}`;
        return [`${milestone_words(name)} ${minutes_seconds(at.at_s)}${bean}`];
    });
    return parts.length === 0 ? "" : `Since charge: ${parts.join(", ")}.`;
}

const kFields: { kind: FactKind; words: string }[] = [
    { kind: "roasted_kg", words: "roasted, kg" },
    { kind: "charge_kg", words: "charged, kg, if not as planned" },
    { kind: "colour", words: "colour, by your own meter" },
];

function Facts({ model, entry }: { model: Model; entry: RoastEntry }) {
    const [typed, set_typed] = useState(kNothingTyped);
    const [answer, set_answer] = useState("");
    const facts = facts_of(typed);
    const ready = model.live() && facts !== null && Object.keys(facts).length > 0;
    const record = async () => {
        if (!ready) return;
        const outcome = await model.tell_facts(entry.id, facts);
        if (outcome.done) set_typed(kNothingTyped);
        set_answer(outcome.answer ?? outcome.text);
    };
    return (
        <form
            onSubmit={(event) => {
                event.preventDefault();
                void record();
            }}
        >
            <h3>Weight and colour</h3>
            {known_sentence(entry) && <p>{known_sentence(entry)}</p>}
            <div class="fact-fields">
                {kFields.map(({ kind, words }) => (
                    <label key={kind}>
                        {words}
                        <input
                            type="text"
                            inputMode="decimal"
                            autocomplete="off"
                            maxLength={9}
                            value={typed[kind]}
                            onInput={(event) =>
                                set_typed({ ...typed, [kind]: (event.currentTarget as HTMLInputElement).value })
                            }
                        />
                    </label>
                ))}
                <button type="submit" class="plain" disabled={!ready}>
                    record
                </button>
            </div>
            <p role="status">{facts === null ? "Numbers only, such as 10.26." : unbroken(answer)}</p>
        </form>
    );
}

export function BatchDialog({ model }: { model: Model }) {
    const entry = model.roasts.find((each) => each.id === model.batch);
    if (!entry) return null;
    const verdict = entry.verdict;
    const open = entry.state === "finished" || entry.state === "interrupted";
    const title = `Roast ${entry.id}: ${verdict?.disposition ?? entry.state}`;
    const marks = milestones_sentence(entry, model);
    return (
        <Sheet model={model} title={title}>
            <p>
                {entry.coffee || "No coffee named"}, charged {clock_time(entry.charged_utc)}
                {entry.target ? `, by ${entry.target}, version ${entry.target_version}` : ", without a target"}.
            </p>
            {verdict && <p>{kVerdictMeaning[verdict.disposition]}.</p>}
            {verdict && verdict.at_drop !== verdict.disposition && <p>The curve alone called for {verdict.at_drop}.</p>}
            <ul>
                {(verdict?.reasons ?? []).map((reason) => (
                    <li key={reason.text}>
                        {unbroken(reason.text)}
                        {reason.calls_for && reason.calls_for !== "clear" ? ` (${reason.calls_for})` : ""}
                    </li>
                ))}
            </ul>
            {marks && <p>{unbroken(marks)}</p>}
            {open && <Facts model={model} entry={entry} />}
            <p>
                <a href={`/api/roasts/${entry.id}.csv`} download={`roast-${entry.id}.csv`}>
                    its readings as a file
                </a>
            </p>
        </Sheet>
    );
}

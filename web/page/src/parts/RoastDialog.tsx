// The marks that are not on the one button, taking marks back, and giving a roast up.
import { useState } from "preact/hooks";
import type { Milestone } from "../logic/api";
import { level_words, milestone_words, minutes_seconds } from "../logic/words";
import type { Part } from "./Dialogs";
import { Sheet } from "./Sheet";

const kByHand: Milestone[] = ["yellow", "first_crack", "second_crack", "drop"];
const kAgo = [0, 5, 10, 20, 30];

const kEarlier = [5, 10, 20];

/** A late tap is not a late move. Only what a person tapped in; what the machine's channels say keeps its time. */
function Retime({ model, status }: Part) {
    const tapped = (status.moves ?? []).filter((move) => move.tapped && move.made_at_s !== null);
    if (tapped.length === 0) return null;
    const retime = (control: string, made_at_s: number, earlier: number) =>
        void model.command("/api/moves/retime", { control, made_at_s, at_s: Math.max(0, made_at_s - earlier) });
    return tapped.map((move) => (
        <fieldset key={`${move.control} ${move.made_at_s}`}>
            <legend>
                {move.control.replaceAll("_", " ")} to {level_words(move.made_to, move.unit)}, tapped in for{" "}
                {minutes_seconds(move.made_at_s)} ({move.judged}): it was made
            </legend>
            {kEarlier.map((earlier) => (
                <button
                    key={earlier}
                    type="button"
                    class="plain"
                    disabled={!model.live()}
                    onClick={() => retime(move.control, move.made_at_s ?? 0, earlier)}
                >
                    {earlier} s earlier
                </button>
            ))}
        </fieldset>
    ));
}

export function RoastDialog({ model, status }: Part) {
    const [ago_s, set_ago] = useState(0);
    const [reason, set_reason] = useState("");
    const roast = status.roast;
    const live = model.live();
    const finish = async (act: Promise<unknown>) => {
        await act;
        model.show(null);
    };
    return (
        <Sheet model={model} title={roast ? `Roast ${roast.id}` : "Nothing in the drum"}>
            {roast && (
                <>
                    <fieldset>
                        <legend>when</legend>
                        {kAgo.map((ago) => (
                            <button
                                key={ago}
                                type="button"
                                class={ago === ago_s ? "plain chosen" : "plain"}
                                aria-pressed={ago === ago_s}
                                onClick={() => set_ago(ago)}
                            >
                                {ago === 0 ? "now" : `${ago} s ago`}
                            </button>
                        ))}
                    </fieldset>
                    <fieldset>
                        <legend>mark</legend>
                        {kByHand
                            .filter((name) => roast.milestones[name]?.source !== "mark")
                            .map((name) => (
                                <button
                                    key={name}
                                    type="button"
                                    class="plain"
                                    disabled={!live}
                                    onClick={() => void finish(model.mark(name, ago_s))}
                                >
                                    {milestone_words(name)}
                                </button>
                            ))}
                    </fieldset>
                    <fieldset>
                        <legend>take back</legend>
                        {kByHand
                            .filter((name) => roast.milestones[name]?.source === "mark")
                            .map((name) => (
                                <button
                                    key={name}
                                    type="button"
                                    class="plain"
                                    disabled={!live}
                                    onClick={() => void finish(model.withdraw(name))}
                                >
                                    {milestone_words(name)} {minutes_seconds(roast.milestones[name]?.at_s)}
                                </button>
                            ))}
                        <button
                            type="button"
                            class="plain"
                            disabled={!live}
                            onClick={() => void finish(model.command("/api/roast/not-a-charge"))}
                        >
                            this was no charge
                        </button>
                    </fieldset>
                    <Retime model={model} status={status} />
                    <fieldset>
                        <legend>give the roast up: why, and where the coffee went</legend>
                        <input
                            type="text"
                            aria-label="why, and where the coffee went"
                            value={reason}
                            maxLength={200}
                            onInput={(event) => set_reason((event.currentTarget as HTMLInputElement).value)}
                        />
                        <button
                            type="button"
                            class="plain"
                            disabled={!live || reason.trim() === ""}
                            onClick={() => void finish(model.command("/api/roast/abort", { text: reason.trim() }))}
                        >
                            give up
                        </button>
                    </fieldset>
                </>
            )}
            {!roast && <p>Marks belong to a roast; there is none now.</p>}
        </Sheet>
    );
}

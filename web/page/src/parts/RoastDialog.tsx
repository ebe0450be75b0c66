// The marks that are not on the one button, taking marks back, and giving a roast up.
import { useState } from "preact/hooks";
import type { Milestone } from "../logic/api";
import { milestone_words, minutes_seconds } from "../logic/words";
import type { Part } from "./Dialogs";
import { Sheet } from "./Dialogs";

const kByHand: Milestone[] = ["yellow", "first_crack", "second_crack", "drop"];
const kAgo = [0, 5, 10, 20, 30];

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

// The fourth question: what to do with the hand. One button, the next sensible mark; for ten seconds after it, undo
// in its place (dead for its first moment, so that a double tap does not undo what it did).
import type { Status } from "../logic/api";
import { hint_of, next_mark } from "../logic/mark";
import { milestone_words } from "../logic/words";
import type { Model } from "../model";

const kDeadMs = 700;

export function MarkCorner({ model, status }: { model: Model; status: Status }) {
    const undo = model.undo;
    const mark = next_mark(status, model.target);
    const live = model.live();
    const now = performance.now();
    const other = status.roast && (
        <button type="button" class="plain" onClick={() => model.show("roast")}>
            other…
        </button>
    );
    if (undo)
        return (
            <>
                <button
                    type="button"
                    class="mark undo"
                    disabled={!live}
                    onClick={() => performance.now() - undo.since_ms > kDeadMs && void model.withdraw(undo.mark)}
                >
                    <span class="mark-title">undo</span>
                    <span class="mark-hint">{milestone_words(undo.mark)} is marked</span>
                    <span class="mark-hint">{Math.max(0, Math.ceil((undo.until_ms - now) / 1000))} s</span>
                </button>
                {other}
            </>
        );
    return (
        <>
            {mark ? (
                <button
                    type="button"
                    class={`mark ${mark.mark}`}
                    disabled={!live}
                    onClick={() => void model.mark(mark.mark)}
                >
                    <span class="mark-title">{mark.title}</span>
                    <span class="mark-hint">{live ? hint_of(mark, status) : "waits for live data"}</span>
                </button>
            ) : (
                <p class="mark nothing">nothing to mark</p>
            )}
            {other}
        </>
    );
}

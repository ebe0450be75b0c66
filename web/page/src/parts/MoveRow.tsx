// One control's moves on the plot's time axis: made ones filled with their judgement, planned ones open with their
// countdown. Where words would touch, the nearest to now win.
import type { Move } from "../logic/api";
import { labels_that_fit } from "../logic/labels";
import { countdown, level_words } from "../logic/words";
import type { TimeAxis } from "./DeviationPlot";

interface Props {
    control: string;
    moves: Move[];
    now_s: number;
    live: boolean; // whether countdowns may be told
    y: number;
    time: TimeAxis;
    em: number;
}

export function judgement_words(move: Move, now_s: number): string {
    if (move.judged === "waiting") return move.planned_at_s === null ? "" : countdown(move.planned_at_s - now_s);
    if ((move.judged === "late" || move.judged === "early") && move.error_s !== null)
        return `${Math.round(Math.abs(move.error_s))} s ${move.judged}`;
    return move.judged;
}

export function MoveRow({ control, moves, now_s, live, y, time, em }: Props) {
    const placed = moves
        .map((move) => ({ move, at_s: move.made_at_s ?? move.planned_at_s }))
        .filter((each): each is { move: Move; at_s: number } => each.at_s !== null)
        .map(({ move, at_s }) => ({
            move,
            x: time.x(at_s - now_s),
            words: live || move.judged !== "waiting" ? judgement_words(move, now_s) : "",
        }))
        .filter(({ x }) => x >= time.left && x <= time.right);
    const rank = (x: number) => Math.abs(x - time.x(0));
    const levels = placed.map(({ move, x }) => ({
        x,
        width: level_words(move.made_to ?? move.planned_to, move.unit).length * 0.62 * em,
        rank: rank(x),
    }));
    const judged = placed.map(({ x, words }) => ({ x, width: words.length * 0.53 * em, rank: rank(x) }));
    const far = time.right + 0.6 * em;
    const show_level = labels_that_fit(levels, 0.4 * em, time.left - 4 * em, far);
    const show_words = labels_that_fit(judged, 0.5 * em, time.left - 1 * em, far);
    return (
        <g>
            <line x1={time.left} x2={time.right} y1={y} y2={y} class="grid" />
            <text x={time.left - 0.5 * em} y={y + 0.35 * em} text-anchor="end" class="tick">
                {control}
            </text>
            {placed.map(({ move, x, words }, i) => (
                <g key={`${move.planned_index} ${move.made_at_s}`} data-judged={move.judged}>
                    <Sign move={move} x={x} y={y} em={em} />
                    {show_level[i] && (
                        <text x={x} y={y - 0.85 * em} text-anchor="middle" class="tick strong">
                            {level_words(move.made_to ?? move.planned_to, move.unit)}
                        </text>
                    )}
                    {show_words[i] && (
                        <text x={x} y={y + 1.7 * em} text-anchor="middle" class="tick">
                            {words}
                        </text>
                    )}
                </g>
            ))}
        </g>
    );
}

/** Filled: made. Open: to come. Crossed: missed. Rhombus: not planned. */
function Sign({ move, x, y, em }: { move: Move; x: number; y: number; em: number }) {
    const r = 0.42 * em;
    if (move.judged === "missed")
        return (
            <path d={`M${x - r} ${y - r}L${x + r} ${y + r}M${x + r} ${y - r}L${x - r} ${y + r}`} class="move-missed" />
        );
    if (move.judged === "extra")
        return (
            <path
                d={`M${x} ${y - r * 1.3}L${x + r * 1.3} ${y}L${x} ${y + r * 1.3}L${x - r * 1.3} ${y}Z`}
                class="move-made"
            />
        );
    return (
        <rect
            x={x - r}
            y={y - r}
            width={2 * r}
            height={2 * r}
            class={move.made_at_s === null ? "move-planned" : "move-made"}
        />
    );
}

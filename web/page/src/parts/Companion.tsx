// The whole curve: the corridor as an outlined band, the roast as a firm line, the target thin and dashed on top.
// Small under the deviation; in the middle when there is nothing to judge by.
import type { Milestone, Status, TargetFile } from "../logic/api";
import { round_ticks } from "../logic/axis";
import { corridor_at, corridor_from, target_end } from "../logic/corridor";
import { gaps, type Row } from "../logic/history";
import { labels_that_fit } from "../logic/labels";
import { area_path, line_path } from "../logic/path";
import { to_scale, unit_symbol } from "../logic/units";
import { milestone_words, minutes_seconds } from "../logic/words";
import type { Model } from "../model";
import { rem, use_size } from "./common";

const kGapMs = 1500;

interface Props {
    model: Model;
    status: Status;
    small?: boolean;
}

export function Companion(props: Props) {
    const { ref, size } = use_size();
    return (
        <div class={`plot${props.small ? " companion" : ""}`} ref={ref}>
            {size.width > 60 && size.height > 60 && <Drawing {...props} width={size.width} height={size.height} />}
        </div>
    );
}

function Drawing({ model, status, small, width, height }: Props & { width: number; height: number }) {
    const em = rem();
    const scale = model.settings.scale;
    const now_ms = model.now_ms();
    const charge_ms = model.history.charge_ms ?? now_ms;
    const rows = model.history.since(charge_ms);
    const elapsed_s = (now_ms - charge_ms) / 1000;
    const target = status.target ? model.target : null;
    const end_s = Math.max(target ? target_end(target) + 15 : 600, elapsed_s * 1.04);
    const left = 4.6 * em;
    const right = width - 0.6 * em;
    const top = 0.8 * em;
    const bottom = height - (small ? 2 : 3.4) * em;
    const x = (s: number) => left + (s / end_s) * (right - left);
    const { low, high } = extent(rows, target);
    const y = (c: number) => bottom - ((c - low) / (high - low)) * (bottom - top);
    const ticks = round_ticks(to_scale(low, scale), to_scale(high, scale), small ? 4 : 9);
    const in_c = (shown: number) => (scale === "f" ? ((shown - 32) * 5) / 9 : shown);
    const points = rows.map((row) => ({
        x: x((row.t_ms - charge_ms) / 1000),
        y: row.bean_c === null ? null : y(row.bean_c),
    }));
    const last = [...points].reverse().find((point) => point.y !== null);
    return (
        <svg width={width} height={height} role="img" aria-label="the whole curve: bean temperature since charge">
            <defs>
                <pattern
                    id="hatch-small"
                    width="8"
                    height="8"
                    patternUnits="userSpaceOnUse"
                    patternTransform="rotate(45)"
                >
                    <line x1="0" y1="0" x2="0" y2="8" class="hatch" />
                </pattern>
            </defs>
            {ticks.map((tick) => (
                <g key={tick}>
                    <line x1={left} x2={right} y1={y(in_c(tick))} y2={y(in_c(tick))} class="grid" />
                    <text x={left - 0.5 * em} y={y(in_c(tick)) + 0.35 * em} text-anchor="end" class="tick">
                        {tick}
                        {tick === ticks[ticks.length - 1] ? ` ${unit_symbol(scale)}` : ""}
                    </text>
                </g>
            ))}
            {target && <TargetBand target={target} x={x} y={y} />}
            <path d={line_path(points)} class="roast-line" />
            {target && <TargetLine target={target} x={x} y={y} until_s={points.length > 1 ? elapsed_s : 0} />}
            {gaps(model.live() ? rows : [...rows, lost_row(now_ms)], kGapMs, model.rowless_ms()).map((gap) => (
                <rect
                    key={gap.from_ms}
                    class="gap"
                    x={x((gap.from_ms - charge_ms) / 1000)}
                    width={Math.max(2, x((gap.to_ms - charge_ms) / 1000) - x((gap.from_ms - charge_ms) / 1000))}
                    y={top}
                    height={bottom - top}
                    fill="url(#hatch-small)"
                />
            ))}
            {last && model.live() && <circle cx={last.x} cy={last.y ?? 0} r={0.34 * em} class="dot" />}
            <Words
                status={status}
                target={target}
                times={!small}
                x={x}
                y={bottom + 1.5 * em}
                em={em}
                left={left}
                right={right}
            />
        </svg>
    );
}

function lost_row(t_ms: number): Row {
    return { t_ms, bean_c: null, deviation_c: null, corridor_c: null, rise_per_min: null };
}

function extent(rows: Row[], target: TargetFile | null): { low: number; high: number } {
    const values = [
        ...rows.flatMap((row) => (row.bean_c === null ? [] : [row.bean_c])),
        ...(target?.points.map(([, c]) => c) ?? []),
    ];
    const low = values.reduce((a, b) => Math.min(a, b), 90);
    const high = values.reduce((a, b) => Math.max(a, b), 215);
    return { low: low - 8, high: high + 6 };
}

function TargetBand(props: { target: TargetFile; x: (s: number) => number; y: (c: number) => number }) {
    const { target, x, y } = props;
    const from_s = corridor_from(target);
    const edges = target.points
        .filter(([t]) => t >= from_s)
        .map(([t, c]) => {
            const half = corridor_at(target, t) ?? 0;
            return { x: x(t), upper: y(c + half), lower: y(c - half) };
        });
    return <path d={area_path(edges)} class="band-outline" />;
}

/** Thin and dashed, on top: in ink where it lies bare, in paper where the roast's line lies under it. */
function TargetLine(props: {
    target: TargetFile;
    x: (s: number) => number;
    y: (c: number) => number;
    until_s: number;
}) {
    const path = line_path(props.target.points.map(([t, c]) => ({ x: props.x(t), y: props.y(c) })));
    return (
        <>
            <clipPath id="roasted">
                <rect x="0" y="0" width={Math.max(0, props.x(props.until_s))} height="4000" />
            </clipPath>
            <path d={path} class="target-line" />
            <path d={path} class="target-line over" clip-path="url(#roasted)" />
        </>
    );
}

/** Names of what has happened, at their time, and of what the target expects. */
function Words(props: {
    status: Status;
    target: TargetFile | null;
    times: boolean;
    x: (s: number) => number;
    y: number;
    em: number;
    left: number;
    right: number;
}) {
    const { status, target, x, em } = props;
    const made = status.roast?.milestones ?? {};
    const names: Milestone[] = ["turning_point", "yellow", "first_crack", "second_crack", "drop"];
    const words = names.flatMap((name) => {
        const at_s = made[name]?.at_s ?? target?.milestones?.[name]?.at_s;
        if (at_s === undefined) return [];
        const text = milestone_words(name);
        const time = made[name] && props.times ? minutes_seconds(at_s) : "";
        const width = text.length * 0.55 * em;
        const middle = Math.min(Math.max(x(at_s), props.left + width / 2), props.right - width / 2 + em * 0.5);
        return [
            { name, text, time, done: Boolean(made[name]), x: middle, at: x(at_s), width, rank: made[name] ? 0 : 1 },
        ];
    });
    const shown = labels_that_fit(words, 0.3 * em, 0, props.right + 2 * em);
    return (
        <g>
            {words.map((word, i) => (
                <g key={word.name}>
                    <line x1={word.at} x2={word.at} y1={props.y - 1.5 * em} y2={props.y - 1.15 * em} class="now" />
                    {shown[i] && (
                        <text x={word.x} y={props.y} text-anchor="middle" class={`tick${word.done ? " strong" : ""}`}>
                            {word.text}
                        </text>
                    )}
                    {shown[i] && word.time && (
                        <text x={word.x} y={props.y + 1.4 * em} text-anchor="middle" class="tick strong">
                            {word.time}
                        </text>
                    )}
                </g>
            ))}
        </g>
    );
}

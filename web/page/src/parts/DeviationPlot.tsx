// The second question: how it came and where it may go. Deviation against the corridor, six minutes back and two and
// a half ahead, on one time axis with the moves.
import type { Move, Status } from "../logic/api";
import { type Axis, choose_axis } from "../logic/axis";
import { corridor_at, corridor_from, target_end } from "../logic/corridor";
import { gaps, type Row } from "../logic/history";
import { area_path, line_path } from "../logic/path";
import { type Scale, span_from_scale, span_to_scale, unit_symbol } from "../logic/units";
import { minutes_seconds, plain, signed } from "../logic/words";
import type { Model } from "../model";
import { rem, use_size } from "./common";
import { MoveRow } from "./MoveRow";

const kBackS = 360;
const kAheadS = 150;
const kGapMs = 1500;
const kLevelS = 60; // the corridor's width is written where it is level for so long
const kLevelC = 0.05;

export interface TimeAxis {
    left: number;
    right: number;
    x: (from_now_s: number) => number;
}

function controls_of(moves: Move[]): string[] {
    return [...new Set(moves.map((move) => move.control))].sort((a, b) => (a < b ? 1 : -1)).slice(0, 2);
}

export function DeviationPlot(props: { model: Model; status: Status }) {
    const { ref, size } = use_size();
    return (
        <div class="plot" ref={ref}>
            {size.width > 60 && size.height > 60 && <Drawing {...props} width={size.width} height={size.height} />}
        </div>
    );
}

interface DrawingProps {
    model: Model;
    status: Status;
    width: number;
    height: number;
}

function Drawing({ model, status, width, height }: DrawingProps) {
    const em = rem();
    const scale = model.settings.scale;
    const controls = controls_of(status.moves ?? []);
    const left = 4.6 * em;
    const right = width - 0.6 * em;
    const top = 2.0 * em;
    const row = 4.6 * em;
    const bottom = height - Math.max(0.6 * em, controls.length * row);
    const time: TimeAxis = { left, right, x: (s) => left + ((s + kBackS) / (kBackS + kAheadS)) * (right - left) };
    const now_ms = model.now_ms();
    const rows = model.history.since(now_ms - kBackS * 1000);
    const charge_ms = model.history.charge_ms ?? now_ms;
    const from_ms = charge_ms + corridor_from(model.target) * 1000;
    const seen = rows.filter((each) => each.t_ms >= from_ms && each.deviation_c !== null);
    const largest = Math.max(0, ...seen.map((each) => Math.abs(each.deviation_c as number)));
    const axis = choose_axis(largest, scale);
    const y = (c: number) => (top + bottom) / 2 - (c / axis.limit_c) * ((bottom - top) / 2);
    const plot = { model, status, time, rows, now_ms, charge_ms, from_ms, top, bottom, y, scale };
    return (
        <svg width={width} height={height} role="img" aria-label="deviation from the target against the corridor">
            <defs>
                <clipPath id="field">
                    <rect x={left} y={top} width={right - left} height={bottom - top} />
                </clipPath>
                <pattern id="hatch" width="8" height="8" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
                    <line x1="0" y1="0" x2="0" y2="8" class="hatch" />
                </pattern>
            </defs>
            <TimeWords time={time} top={top} em={em} />
            {axis.ticks.map((tick, i) => (
                <g key={tick}>
                    <line
                        x1={left}
                        x2={right}
                        y1={y(span_from_scale(tick, scale))}
                        y2={y(span_from_scale(tick, scale))}
                        class="grid"
                    />
                    <text
                        x={left - 0.5 * em}
                        y={y(span_from_scale(tick, scale)) + 0.35 * em}
                        text-anchor="end"
                        class="tick"
                    >
                        {signed(tick, Number.isInteger(tick) ? 0 : 1)}
                        {i === axis.ticks.length - 2 ? ` ${unit_symbol(scale)}` : ""}
                    </text>
                </g>
            ))}
            <text x={left - 0.5 * em} y={y(0) + 0.35 * em} text-anchor="end" class="tick strong">
                target
            </text>
            <g clip-path="url(#field)">
                <Band {...plot} />
                <line x1={left} x2={right} y1={y(0)} y2={y(0)} class="target-zero" />
                <Hatches {...plot} />
                {model.live() && <Fan {...plot} />}
                <Curve {...plot} />
            </g>
            <BandWords {...plot} em={em} />
            <AxisWords {...plot} axis={axis} largest={axis.beyond ? largest : null} em={em} />
            <line x1={time.x(0)} x2={time.x(0)} y1={top} y2={bottom} class="now" />
            {controls.map((control, i) => {
                const at = bottom + row * i + row * 0.55;
                return <line key={control} x1={time.x(0)} x2={time.x(0)} y1={at - em} y2={at + em} class="now" />;
            })}
            <NowDot {...plot} limit_c={axis.limit_c} />
            {controls.map((control, i) => (
                <MoveRow
                    key={control}
                    control={control}
                    moves={(status.moves ?? []).filter((move) => move.control === control)}
                    now_s={(now_ms - charge_ms) / 1000}
                    live={model.live() && !status.prompts_withheld}
                    y={bottom + row * i + row * 0.55}
                    time={time}
                    em={em}
                />
            ))}
        </svg>
    );
}

function TimeWords({ time, top, em }: { time: TimeAxis; top: number; em: number }) {
    return (
        <g class="tick">
            <text x={time.left} y={top - 0.6 * em}>
                −6 min
            </text>
            <text x={time.x(0)} y={top - 0.6 * em} text-anchor="middle">
                now
            </text>
            <text x={time.right} y={top - 0.6 * em} text-anchor="end">
                {time.right - time.x(0) > 8 * em ? "+2½ min" : "+2½"}
            </text>
        </g>
    );
}

interface PlotProps {
    model: Model;
    status: Status;
    time: TimeAxis;
    rows: Row[];
    now_ms: number;
    charge_ms: number;
    from_ms: number;
    top: number;
    bottom: number;
    y: (c: number) => number;
    scale: Scale;
}

/** The corridor: what the daemon judged by in the past, the target's own beyond now. */
function Band({ model, time, rows, now_ms, charge_ms, from_ms, y }: PlotProps) {
    const target = model.target;
    const edges: { x: number; upper: number; lower: number }[] = [];
    const add = (t_ms: number, half_c: number) =>
        edges.push({ x: time.x((t_ms - now_ms) / 1000), upper: y(half_c), lower: y(-half_c) });
    for (const row of rows) if (row.t_ms >= from_ms && row.corridor_c !== null) add(row.t_ms, row.corridor_c);
    const end_ms = target ? charge_ms + target_end(target) * 1000 : 0;
    const drawn_ms = rows[rows.length - 1]?.t_ms ?? now_ms;
    if (target)
        for (let t_ms = Math.max(drawn_ms, from_ms); t_ms <= Math.min(now_ms + kAheadS * 1000, end_ms); t_ms += 2000)
            add(t_ms, corridor_at(target, (t_ms - charge_ms) / 1000) ?? 0);
    return (
        <>
            <path d={area_path(edges)} class="band" />
            <path d={line_path(edges.map((edge) => ({ x: edge.x, y: edge.upper })))} class="band-edge" />
            <path d={line_path(edges.map((edge) => ({ x: edge.x, y: edge.lower })))} class="band-edge" />
        </>
    );
}

/** How wide the corridor is where the axis ends. */
function BandWords({ model, status, time, now_ms, charge_ms, from_ms, y, scale, em }: PlotProps & { em: number }) {
    const target = model.target;
    if (!target || status.target?.deviation_c === undefined) return null;
    const at_ms = Math.min(now_ms + kAheadS * 1000, charge_ms + target_end(target) * 1000);
    const half = corridor_at(target, (at_ms - charge_ms) / 1000);
    const level = corridor_at(target, (at_ms - charge_ms) / 1000 - kLevelS);
    if (half === null || at_ms < from_ms || level === null || Math.abs(level - half) > kLevelC) return null;
    return (
        <text x={time.x((at_ms - now_ms) / 1000)} y={y(half) - 0.45 * em} text-anchor="end" class="tick">
            ±{plain(span_to_scale(half, scale))} {unit_symbol(scale)}
        </text>
    );
}

function Curve({ time, rows, now_ms, charge_ms, y }: PlotProps) {
    const points = rows
        .filter((row) => row.t_ms >= charge_ms)
        .map((row) => ({
            x: time.x((row.t_ms - now_ms) / 1000),
            y: row.deviation_c === null ? null : y(row.deviation_c),
        }));
    return <path d={line_path(points)} class="roast-line" />;
}

/** Where nothing was read: in the past, and growing at the end while the daemon is not heard. */
function Hatches({ model, time, rows, now_ms, top, bottom }: PlotProps) {
    const found = gaps(rows, kGapMs, model.rowless_ms());
    const last = model.history.last();
    if (!model.live() && last) found.push({ from_ms: last.t_ms, to_ms: now_ms });
    return (
        <>
            {found.map((gap) => {
                const x = time.x((gap.from_ms - now_ms) / 1000);
                const end = time.x((gap.to_ms - now_ms) / 1000);
                return (
                    <rect
                        key={gap.from_ms}
                        class="gap"
                        x={x}
                        width={Math.max(2, end - x)}
                        y={top}
                        height={bottom - top}
                        fill="url(#hatch)"
                    />
                );
            })}
        </>
    );
}

function Fan({ status, time, y }: PlotProps) {
    const fan = status.fan ?? [];
    const here = status.target?.deviation_c;
    if (fan.length === 0 || here === null || here === undefined) return null;
    const edges = [
        { x: time.x(0), upper: y(here), lower: y(here) },
        ...fan.map((point) => ({ x: time.x(point.in_s), upper: y(point.high_c), lower: y(point.low_c) })),
    ];
    return <path d={area_path(edges)} class="fan" />;
}

/** The place of the roast now; at the edge, as an arrow, when it lies beyond the widest axis. */
function NowDot({ model, status, time, y, limit_c }: PlotProps & { limit_c: number }) {
    const here = status.target?.deviation_c;
    if (!model.live() || here === null || here === undefined) return null;
    const beyond = Math.abs(here) > limit_c;
    const at = y(Math.sign(here) * Math.min(Math.abs(here), limit_c));
    const x = time.x(0);
    if (!beyond) return <circle cx={x} cy={at} r={rem() * 0.5} class="dot" />;
    const s = rem() * 0.6 * Math.sign(here);
    return (
        <path d={`M${x - Math.abs(s)} ${at + s * 1.6}L${x} ${at}L${x + Math.abs(s)} ${at + s * 1.6}Z`} class="dot" />
    );
}

/** Where the corridor begins, while that matters; that the axis has opened, and what lies beyond. On the quiet side. */
function AxisWords(props: PlotProps & { axis: Axis; largest: number | null; em: number }) {
    const { time, rows, now_ms, from_ms, charge_ms, top, bottom, scale, axis, em } = props;
    const narrow = time.right - time.left < 26 * em;
    const unit = unit_symbol(scale);
    const words: string[] = [];
    const begin = time.x((from_ms - now_ms) / 1000);
    if (begin > (axis.opened ? time.x(0) : time.left + 2 * em))
        words.push(`corridor from ${minutes_seconds((from_ms - charge_ms) / 1000)}`);
    if (axis.opened) words.push(narrow ? `axis ±${axis.limit} ${unit}` : `axis opened to ±${axis.limit} ${unit}`);
    if (props.largest !== null)
        words.push(`${plain(span_to_scale(props.largest, scale))}${narrow ? "" : ` ${unit}`} at most`);
    const seen = rows.flatMap((row) => (row.t_ms >= charge_ms && row.deviation_c !== null ? [row.deviation_c] : []));
    const below = Math.max(0, ...seen) >= -Math.min(0, ...seen);
    return (
        <text x={time.left + 0.5 * em} y={below ? bottom - 0.5 * em : top + 1.2 * em} class="tick">
            {words.join(" · ")}
        </text>
    );
}

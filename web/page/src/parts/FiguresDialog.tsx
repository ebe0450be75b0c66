// How good the alarms are: the daemon's figures, each beside its benchmark, by day and by roast, and what may be done.
import { useEffect, useState } from "preact/hooks";
import type { AlarmFigures, Figure } from "../logic/api_alarms";
import { rule_words } from "../logic/aside";
import {
    by_priority_words,
    day_before,
    figure_value,
    figures_in_order,
    kStandSigns,
    kStandWords,
    rate_words,
    summary_words,
} from "../logic/figures";
import { age_words, clock_day, clock_time, unbroken } from "../logic/words";
import { AlarmSheet } from "./AlarmSheet";
import type { Part } from "./Dialogs";
import { Choices } from "./fields";
import { Table } from "./Table";

type View = "figures" | "days" | "roasts" | "rules";

const kViews: { value: View; words: string }[] = [
    { value: "figures", words: "benchmarks" },
    { value: "days", words: "by day" },
    { value: "roasts", words: "by roast" },
    { value: "rules", words: "by rule" },
];
const kPeriods = [
    { value: 0, words: "last 30 days" },
    { value: 7, words: "7 days" },
    { value: 1, words: "today" },
];

/** Without a day the daemon gives its own 30. */
function query_of(utc: string, days: number): string {
    return days === 0 ? "" : `?from=${day_before(utc, days - 1)}`;
}

export function FiguresDialog({ model, status }: Part) {
    const [view, set_view] = useState<View>("figures");
    const [days, set_days] = useState(0);
    const [figures, set_figures] = useState<AlarmFigures | string | null>(null);
    useEffect(() => {
        let wanted = true;
        set_figures(null);
        void model.alarm_figures(query_of(status.utc, days)).then((read) => wanted && set_figures(read));
        return () => {
            wanted = false;
        };
    }, [days]);
    return (
        <AlarmSheet model={model} status={status} title="How good the alarms are">
            <div class="two-choices">
                <Choices label="of the" now={days} choices={kPeriods} choose={set_days} />
                <Choices label="show" now={view} choices={kViews} choose={set_view} />
            </div>
            {figures === null && <p role="status">The daemon is asked…</p>}
            {typeof figures === "string" && <p role="status">{figures}</p>}
            {figures !== null && typeof figures === "object" && (
                <>
                    <p class="summary">{unbroken(summary_words(figures))}</p>
                    {view === "figures" && <Benchmarks figures={figures} />}
                    {view === "days" && <Days figures={figures} />}
                    {view === "roasts" && <Roasts figures={figures} />}
                    {view === "rules" && <Rules figures={figures} />}
                </>
            )}
        </AlarmSheet>
    );
}

/** Rules to be looked at come before the numbers: they are what somebody can change. */
function Benchmarks({ figures }: { figures: AlarmFigures }) {
    return (
        <>
            {figures.bad_actors.length > 0 && <h3>look at these</h3>}
            {figures.bad_actors.map((actor) => (
                <div key={`${actor.rule} ${actor.why}`} class="bad-actor">
                    <p>
                        <strong>{rule_words(actor.rule)}</strong>, {actor.times} {actor.times === 1 ? "time" : "times"}:{" "}
                        {unbroken(actor.words)}
                    </p>
                    <p>{unbroken(actor.suggestion)}</p>
                </div>
            ))}
            <Table
                columns={["figure", "value", "benchmark", "it is"]}
                rows={figures_in_order(figures.figures).map((figure) => ({
                    key: figure.name,
                    stand: figure.stand,
                    cells: [
                        unbroken(figure.words),
                        unbroken(figure_value(figure)),
                        <Benchmark key="benchmark" figure={figure} />,
                        `${kStandSigns[figure.stand]} ${kStandWords[figure.stand]}`,
                    ],
                }))}
            />
        </>
    );
}

function Benchmark({ figure }: { figure: Figure }) {
    return (
        <>
            {unbroken(figure.benchmark)}
            {figure.source && <span class="source">{figure.source}</span>}
        </>
    );
}

function Days({ figures }: { figures: AlarmFigures }) {
    return (
        <>
            <Table
                columns={["day", "watched", "alarms", "in 10 min", "of priority", "stale"]}
                rows={[...figures.days].reverse().map((day) => ({
                    key: day.day,
                    cells: [
                        unbroken(clock_day(day.day)),
                        unbroken(age_words(day.watched_s)),
                        day.alarms,
                        rate_words(day.alarms, day.watched_s),
                        unbroken(by_priority_words(day.priorities)),
                        day.stale,
                    ],
                }))}
            />
            <Floods figures={figures} />
        </>
    );
}

function Floods({ figures }: { figures: AlarmFigures }) {
    if (figures.floods.length === 0) return <p>There was no flood of alarms.</p>;
    return (
        <ul>
            {figures.floods.map((flood) => (
                <li key={flood.from_utc}>
                    {unbroken(
                        `Flood on ${clock_day(flood.from_utc)} from ${clock_time(flood.from_utc)} to ` +
                            `${clock_time(flood.to_utc)}: ${flood.alarms} alarms.`,
                    )}
                </li>
            ))}
        </ul>
    );
}

function Roasts({ figures }: { figures: AlarmFigures }) {
    if (figures.roasts.length === 0) return <p>No roast was watched in this time.</p>;
    return (
        <Table
            columns={["roast", "from", "alarms", "of priority", "verdict clear"]}
            rows={[...figures.roasts].reverse().map((roast) => ({
                key: String(roast.roast),
                cells: [
                    roast.roast,
                    unbroken(`${clock_day(roast.from_utc)}, ${clock_time(roast.from_utc)}`),
                    roast.alarms,
                    unbroken(by_priority_words(roast.priorities)),
                    roast.clear ? "yes" : roast.dropped ? "no" : "no drop",
                ],
            }))}
        />
    );
}

const kTop = 10;

function Rules({ figures }: { figures: AlarmFigures }) {
    if (figures.rules.length === 0) return <p>No rule raised an alarm in this time.</p>;
    return (
        <>
            <h3>the ten most frequent</h3>
            <Table
                columns={["rule", "alarms", "share", "chattering", "fleeting", "stale", "never acknowledged"]}
                rows={figures.rules.slice(0, kTop).map((rule) => ({
                    key: rule.rule,
                    cells: [
                        rule_words(rule.rule),
                        rule.alarms,
                        unbroken(`${rule.share_pct.toFixed(0)} %`),
                        rule.chattering,
                        rule.fleeting,
                        rule.stale + rule.stale_roasts,
                        rule.unacknowledged,
                    ],
                }))}
            />
        </>
    );
}

// All probes in a table, a tap on a name away from each in full with what may be done to it.
import type { Status } from "../logic/api";
import type { Probe, Probes } from "../logic/api_probes";
import {
    calibration_words,
    check_words,
    count_words,
    due_of,
    epoch_words,
    probe_name,
    state_words,
} from "../logic/probes";
import { type Scale, to_scale, unit_symbol } from "../logic/units";
import { kDash, plain, unbroken } from "../logic/words";
import type { Model } from "../model";
import { More } from "./common";
import type { Part } from "./Dialogs";
import { AsideMark } from "./marks";
import type { OfProbe, Place } from "./ProbesDialog";
import { Table } from "./Table";

const kColumns = ["probe", "shows", "uncorrected", "state", "last check", "its readings"];

/** "196.2 °C" on one line; a dash alone. */
export function Degrees({ c, scale }: { c: number | null; scale: Scale }) {
    if (c === null) return <span>{kDash}</span>;
    return (
        <span class="degrees">
            {plain(to_scale(c, scale))} {unit_symbol(scale)}
        </span>
    );
}

function DueWords({ probe }: { probe: Probe }) {
    const { due, words } = due_of(probe);
    if (!words) return null;
    return (
        <span class="due" data-due={due}>
            {due && <AsideMark shape="due" />}
            {due ? <strong>{words}</strong> : words}
        </span>
    );
}

function State({ probe, status }: { probe: Probe; status: Status }) {
    const fine = probe.quality === "good" && !status.channels[probe.channel]?.doubt;
    return <span class={fine ? "" : "wrong"}>{state_words(probe, status)}</span>;
}

export function ProbeTable({ model, status, probes, go }: Part & { probes: Probes; go: (place: Place) => void }) {
    const scale = model.settings.scale;
    const every = probes.site.check_every_days;
    const rows = probes.probes.map((probe) => ({
        key: probe.channel,
        cells: [
            <button
                key="name"
                type="button"
                class="plain of-name"
                onClick={() => go({ at: "one", channel: probe.channel })}
            >
                {probe_name(probe.channel)}
                <More />
            </button>,
            <Degrees key="shows" c={probe.shows_c} scale={scale} />,
            <Degrees key="reads" c={probe.reads_c} scale={scale} />,
            <State key="state" probe={probe} status={status} />,
            <>
                {check_words(probe.last_check, probe.calibration, scale)}
                <DueWords probe={probe} />
            </>,
            <>
                {calibration_words(probe.calibration, scale)}
                <span class="source">{epoch_words(probe.epoch)}</span>
            </>,
        ],
    }));
    return (
        <>
            {rows.length === 0 && <p>This station has no temperature probe.</p>}
            {rows.length > 0 && <Table columns={kColumns} rows={rows} />}
            <p class="small">
                {every === null
                    ? "This station's configuration asks for no regular checks. "
                    : `Each is to be checked every ${every} days. `}
                Tap a name to check it, correct it, or say that it was changed.
            </p>
        </>
    );
}

/** One in full. */
export function OneProbe({ model, status, probe, hindered, go }: OfProbe) {
    const scale = model.settings.scale;
    const channel = probe.channel;
    const fault = probe.probe_fault;
    const counts = count_words(probe.probe_faults);
    return (
        <>
            <Numbers model={model} probe={probe} />
            <dl class="of-alarm">
                <dt>state</dt>
                <dd>
                    <State probe={probe} status={status} />
                    {fault && (
                        <p>
                            {unbroken(fault.sentence)} <strong>Look first:</strong> {unbroken(fault.look_first)}
                        </p>
                    )}
                </dd>
                {counts && <dt>it was</dt>}
                {counts && <dd>{counts}</dd>}
                <dt>last check</dt>
                <dd>
                    {check_words(probe.last_check, probe.calibration, scale)}
                    {probe.last_check?.note && ` (${probe.last_check.note})`}
                    <DueWords probe={probe} />
                </dd>
                <dt>its readings</dt>
                <dd>{calibration_words(probe.calibration, scale)}</dd>
                <dt>the probe itself</dt>
                <dd>{epoch_words(probe.epoch)}</dd>
            </dl>
            {hindered && <p class="hindered">{hindered}</p>}
            <fieldset>
                <button
                    type="button"
                    class="plain act"
                    disabled={hindered !== ""}
                    onClick={() => go({ at: "check", channel })}
                >
                    check it…
                </button>
                <button
                    type="button"
                    class="plain"
                    disabled={hindered !== ""}
                    onClick={() => go({ at: "correct", channel })}
                >
                    correct it…
                </button>
                <button
                    type="button"
                    class="plain"
                    disabled={hindered !== ""}
                    onClick={() => go({ at: "change", channel })}
                >
                    it was wiped, moved or replaced…
                </button>
            </fieldset>
        </>
    );
}

function Numbers({ model, probe }: { model: Model; probe: Probe }) {
    const scale = model.settings.scale;
    return (
        <div class="live-reading">
            <p>
                shows{" "}
                <strong>
                    <Degrees c={probe.shows_c} scale={scale} />
                </strong>
            </p>
            <p>
                uncorrected{" "}
                <strong>
                    <Degrees c={probe.reads_c} scale={scale} />
                </strong>
            </p>
        </div>
    );
}

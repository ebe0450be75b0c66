// Which probe is which: one tip is warmed by hand, and the page says whose reading rose.
import type { Probes } from "../logic/api_probes";
import { probe_name } from "../logic/probes";
import { type Readings, rise_words, warmed } from "../logic/readings";
import { unbroken } from "../logic/words";
import type { Part } from "./Dialogs";
import { AsideMark } from "./marks";
import { Degrees } from "./ProbeTable";
import { Table } from "./Table";

interface Props extends Part {
    probes: Probes;
    rows: Readings[];
}

export function ProbeWhich({ model, probes, rows }: Props) {
    const scale = model.settings.scale;
    const found = warmed(
        rows,
        probes.probes.map((each) => each.channel),
    );
    const table = probes.probes.map((probe, i) => {
        const rise = found.rises[i];
        return {
            key: probe.channel,
            cells: [
                probe_name(probe.channel),
                <Degrees key="reads" c={probe.reads_c} scale={scale} />,
                <span key="rise" class="rise">
                    {rise_words(rise?.rise_c ?? null, scale)}
                    {rise?.rose && (
                        <>
                            <AsideMark shape="up" />
                            <strong>rose</strong>
                        </>
                    )}
                </span>,
            ],
        };
    });
    return (
        <>
            <p>
                Warm one tip, and only one: a warm hand around it, or a cup of warm water. Wait up to 20&nbsp;s, and see
                whose reading rises.
            </p>
            <p>
                <strong>Caution:</strong> only with the machine off and cool, as its manual says. Never a flame on a
                probe, and nothing hot near its cable.
            </p>
            <p class="do-first" role="status">
                {unbroken(found.words)}
            </p>
            <Table columns={["probe", "uncorrected", "in the last 20 s"]} rows={table} />
        </>
    );
}

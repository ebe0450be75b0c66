// The probes as the daemon tells of them, once a second while a sheet that shows them is open.
import { useEffect, useRef, useState } from "preact/hooks";
import type { Probes } from "../logic/api_probes";
import { without_readings } from "../logic/probes";
import { type Readings, with_readings } from "../logic/readings";
import type { Model } from "../model";

const kEveryMs = 1000;

export interface Watched {
    probes: Probes | null; // nothing heard yet
    heard: boolean; // the newest question was answered
    rows: Readings[];
}

export function use_probes(model: Model) {
    const [watched, set_watched] = useState<Watched>({ probes: null, heard: true, rows: [] });
    const asking = useRef(false);
    const refresh = async () => {
        asking.current = true;
        const probes = await model.probes();
        asking.current = false;
        const at_ms = model.now_ms();
        set_watched((old) =>
            probes
                ? { probes, heard: true, rows: with_readings(old.rows, at_ms, probes.probes) }
                : { ...old, heard: false },
        );
        return probes;
    };
    useEffect(() => {
        const ask = () => {
            if (!asking.current) void refresh();
        };
        ask();
        const timer = window.setInterval(ask, kEveryMs);
        return () => window.clearInterval(timer);
    }, []);
    const live = watched.heard && model.live();
    const probes = watched.probes && !live ? without_readings(watched.probes) : watched.probes;
    return { probes, heard: watched.heard, rows: live ? watched.rows : [], refresh };
}

// The page's own copy of the last 45 minutes: begun with the daemon's history event, continued with each status.
// Time is the tick of the daemon's watch in ms; a new watch begins a new history.
import type { HistoryColumns, Status } from "./api";

export interface Row {
    t_ms: number;
    bean_c: number | null;
    deviation_c: number | null;
    corridor_c: number | null;
    rise_per_min: number | null;
}

const kMostRows = 12_000;

export class History {
    watch: number | null = null;
    rows: Row[] = [];
    charge_ms: number | null = null;
    private origin_ms = 0; // tick of sequence 0

    /** Takes what the daemon sent on connecting: all of it, or what came after the last row here. */
    absorb(columns: HistoryColumns): void {
        if (columns.watch !== this.watch) this.begin(columns.watch);
        const first = columns.t_ms[0];
        if (first !== undefined) this.origin_ms = first - columns.from * columns.tick_ms;
        const incoming = columns.t_ms.map((t_ms, i) => ({
            t_ms,
            bean_c: columns.bean_c[i] ?? null,
            deviation_c: columns.deviation_c[i] ?? null,
            corridor_c: columns.corridor_c[i] ?? null,
            rise_per_min: columns.rise_per_min[i] ?? null,
        }));
        this.merge(incoming);
        if (columns.charge_ms !== undefined) this.charge_ms = columns.charge_ms;
    }

    /** One tick. The status says its time by its sequence. */
    append(status: Status): void {
        if (status.watch !== this.watch) this.begin(status.watch);
        const t_ms = this.tick_of(status);
        const bean = status.channels.bean;
        this.charge_ms = status.roast ? t_ms - status.roast.elapsed_s * 1000 : this.charge_ms;
        this.merge([
            {
                t_ms,
                bean_c: bean?.value ?? null,
                deviation_c: status.target?.deviation_c ?? null,
                corridor_c: status.target?.corridor_c ?? null,
                rise_per_min: bean?.rise_per_min ?? null,
            },
        ]);
    }

    tick_of(status: Status): number {
        return this.origin_ms + status.sequence * status.tick_ms;
    }

    /** Rows from t_ms on, the first at or after it. */
    since(t_ms: number): Row[] {
        return this.rows.slice(this.place_of(t_ms));
    }

    last(): Row | null {
        return this.rows[this.rows.length - 1] ?? null;
    }

    private begin(watch: number): void {
        this.watch = watch;
        this.rows = [];
        this.charge_ms = null;
        this.origin_ms = 0;
    }

    private merge(incoming: Row[]): void {
        const first = incoming[0];
        if (!first) return;
        const last = this.last();
        if (!last || first.t_ms > last.t_ms) {
            this.rows.push(...incoming);
        } else {
            const by_time = new Map(this.rows.map((row) => [row.t_ms, row]));
            for (const row of incoming) by_time.set(row.t_ms, row);
            this.rows = [...by_time.values()].sort((a, b) => a.t_ms - b.t_ms);
        }
        if (this.rows.length > kMostRows) this.rows.splice(0, this.rows.length - kMostRows);
    }

    private place_of(t_ms: number): number {
        let low = 0;
        let high = this.rows.length;
        while (low < high) {
            const middle = (low + high) >> 1;
            if ((this.rows[middle] as Row).t_ms < t_ms) low = middle + 1;
            else high = middle;
        }
        return low;
    }
}

/** For how long the roast has been inside the corridor, s: since it last left, or since the corridor began. */
export function inside_since_s(rows: Row[], now_ms: number, begin_ms: number): number {
    for (let i = rows.length - 1; i >= 0; --i) {
        const row = rows[i] as Row;
        if (row.t_ms < begin_ms) break;
        if (row.deviation_c === null || row.corridor_c === null) return (now_ms - row.t_ms) / 1000;
        if (Math.abs(row.deviation_c) > row.corridor_c) return (now_ms - row.t_ms) / 1000;
    }
    return Math.max(0, (now_ms - begin_ms) / 1000);
}

export interface Gap {
    from_ms: number;
    to_ms: number;
}

/**
 * Stretches without a good bean reading, at least `least_ms` long; where there is no row at all (a slow link may leave
 * ticks out) at least `rowless_ms`.
 */
export function gaps(rows: Row[], least_ms: number, rowless_ms: number): Gap[] {
    const found: Gap[] = [];
    let good_ms: number | null = null;
    let missing = false;
    const close = (to_ms: number) => {
        if (good_ms !== null && to_ms - good_ms >= (missing ? least_ms : rowless_ms))
            found.push({ from_ms: good_ms, to_ms });
    };
    for (const row of rows) {
        if (row.bean_c === null) {
            missing = true;
            good_ms ??= row.t_ms;
            continue;
        }
        close(row.t_ms);
        good_ms = row.t_ms;
        missing = false;
    }
    const last = rows[rows.length - 1];
    if (last && missing) close(last.t_ms);
    return found;
}

// The JSON of the daemon's API about alarms and sounders, as the page reads it; see api.ts.

export type Priority = "high" | "medium" | "low";

export interface Alarm {
    id: number; // of this occurrence
    rule: string;
    priority: Priority;
    state: string;
    text: string;
    response: string;
    causes?: string;
    consequence?: string; // of doing nothing
    time_allowed_s?: number; // to begin with the response
    owner?: string;
    since_s: number;
    silenced?: boolean;
    value?: number | null;
    limit?: number | null;
    unit?: string; // of value and limit
    can_shelve?: boolean; // false: the daemon would refuse
    can_take_out?: boolean;
}

export interface PutAside {
    rule: string;
    title: string;
    state: string; // shelved, suppressed, out_of_service
    why: string; // what suppresses it
    who?: string; // a person put it aside
    reason?: string; // in that person's words
    since_s: number;
    back_in_s: number | null;
}

export interface Sounder {
    name: string;
    kind: string;
    working: boolean;
    why: string; // it does not work
    tested_at: string | null;
}

/** The independent high-limit control, as the site states it. */
/** Care of the machine that comes round after so much use. */
export interface Reminder {
    name: string;
    due: boolean;
    counted: number | null; // null: nobody has stated when it was last done
    every: number;
    unit: string;
    without_weight: number; // batches that a count of kg misses
    done_at: string | null;
    done_by: string;
}

export type ByPriority = Record<Priority, number>;
export type Stand = "within" | "look" | "beyond" | "not_judged";

export interface Figure {
    name: string;
    words: string;
    value: number | null;
    unit: string;
    benchmark: string;
    source: string;
    stand: Stand;
}

export interface DayOfAlarms {
    day: string;
    watched_s: number;
    alarms: number;
    priorities: ByPriority;
    stale: number;
}

export interface RoastOfAlarms {
    roast: number;
    from_utc: string;
    to_utc: string;
    dropped: boolean;
    clear: boolean;
    alarms: number;
    priorities: ByPriority;
}

export interface RuleOfAlarms {
    rule: string;
    alarms: number;
    share_pct: number;
    chattering: number;
    fleeting: number;
    stale: number;
    stale_roasts: number;
    unacknowledged: number;
}

export interface BadActor {
    rule: string;
    why: string;
    times: number;
    words: string;
    suggestion: string;
}

export interface AlarmFigures {
    from_utc: string | null;
    to_utc: string | null;
    watched_s: number;
    alarms: number;
    figures: Figure[];
    days: DayOfAlarms[];
    roasts: RoastOfAlarms[];
    floods: { from_utc: string; to_utc: string; alarms: number }[];
    rules: RuleOfAlarms[];
    bad_actors: BadActor[];
}

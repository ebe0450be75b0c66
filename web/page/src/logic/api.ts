// The JSON of the daemon's API as the page reads it. Temperatures are in °C and times in seconds unless the name
// says otherwise; unit conversion happens only where text is made (units.ts). A value that is not good is null.
import type { Alarm, Priority, PutAside, Reminder, Sounder } from "./api_alarms";

export type { Alarm, Priority, PutAside, Reminder, Sounder } from "./api_alarms";
export type Disposition = "clear" | "taste" | "hold" | "unjudged";
export type Milestone = "charge" | "turning_point" | "yellow" | "first_crack" | "second_crack" | "drop";

export interface Channel {
    value: number | null;
    unit: string;
    quality: string;
    age_s: number;
    rise_per_min?: number | null;
    doubt?: string; // only where there is one: the reading is used all the same
}

export interface MilestoneAt {
    at_s: number;
    bean_c: number | null;
    source: "detected" | "mark";
    why?: string; // of a detected one: by what, and how sure that is
}

export type Milestones = Partial<Record<Milestone, MilestoneAt | null>>;

export interface Roast {
    id: number;
    elapsed_s: number;
    time_lost?: boolean;
    smoothed_c?: number | null;
    milestones: Milestones;
}

export interface Following {
    name: string;
    version: number;
    status: string;
    coffee?: string;
    charge_kg?: number | null;
    bean_c: number | null;
    deviation_c: number | null;
    ahead_s: number | null;
    corridor_c: number | null;
    rise_deviation_per_min?: number | null;
    drift_per_min?: number | null; // the same over some ten seconds
    burner_more?: number | null; // burner now minus what the plan has now, %
    judged_now?: boolean;
    outside?: boolean;
    outside_for_s?: number;
    leaves_in_s?: number | null;
}

export interface Trigger {
    at_s?: number;
    bean_c?: number;
    after_first_crack_s?: number;
}

export interface NextMove {
    index?: number;
    control: string;
    to: number;
    unit: string;
    when: Trigger;
    in_s: number | null;
}

export interface Move {
    control: string;
    unit: string;
    planned_index: number | null;
    planned_to: number | null;
    planned_at_s: number | null;
    made_to: number | null;
    made_at_s: number | null;
    error_s: number | null;
    judged: string;
    tapped?: boolean; // by a person, so that its time can be set right
}

export interface FirstCrackForecast {
    at_s: number;
    in_s: number;
    low_s: number;
    high_s: number;
    crack_c?: number;
    crack_spread_c?: number;
    from_target?: boolean;
}

export interface Drop {
    in_s: number | null;
    at_s: number | null;
    development_s: number | null;
    development_share: number | null;
}

export interface FanPoint {
    in_s: number;
    low_c: number;
    high_c: number;
}

export interface Reason {
    rule: string;
    text: string;
    value?: number | null;
    limit?: number | null;
    calls_for?: string;
}

export interface LastVerdict {
    roast: number;
    disposition: Disposition;
    at_drop?: Disposition; // of the curve alone, before weight and colour
    reasons: Reason[];
    roast_s?: number;
    since_s?: number;
}

export interface Prompt {
    kind?: string;
    text: string;
    in_s: number | null;
}

export interface Status {
    id?: string;
    watch: number;
    sequence: number;
    tick_ms: number;
    station: string;
    machine?: string;
    build?: string;
    utc: string;
    simulated?: { speed: number } | null;
    limiter?: string;
    channels: Record<string, Channel>;
    roast: Roast | null;
    cooling: { id: number; since_s: number; tray_c?: number | null } | null;
    ready: { to_charge: boolean; missing: string[]; charge_c?: number | null };
    target: Following | null;
    next_move: NextMove | null;
    moves?: Move[];
    forecast: { first_crack: FirstCrackForecast } | null;
    no_forecast?: string | null;
    drop?: Drop | null;
    fan?: FanPoint[];
    last_verdict: LastVerdict | null;
    alarms: Alarm[];
    alarm_flood?: boolean;
    alarms_put_aside?: PutAside[];
    prompts: Prompt[];
    prompts_withheld?: boolean;
    sounder: { on: boolean; pattern: "off" | Priority; silenced?: boolean };
    sounders?: Sounder[];
    reminders?: Reminder[];
    record?: { writing: boolean; text: string };
    links?: string[];
    site_card?: string;
}

/** Columns of what the daemon's ring buffer still has. */
export interface HistoryColumns {
    watch: number;
    from: number;
    tick_ms: number;
    t_ms: number[];
    bean_c: (number | null)[];
    deviation_c: (number | null)[];
    corridor_c: (number | null)[];
    rise_per_min: (number | null)[];
    charge_ms?: number | null;
}

export interface TargetFile {
    name: string;
    version: number;
    status: string;
    coffee?: string;
    charge_kg?: number | null;
    points: [number, number][];
    milestones?: Partial<Record<Milestone, { at_s: number; bean_c?: number | null }>>;
    drop?: Trigger;
    tolerance?: {
        bean_c?: number;
        hold_c?: number;
        rise_s?: number;
        outside_s?: number;
        from_s?: number;
        move_s?: number;
    };
}

export interface TargetEntry {
    name: string;
    version: number;
    status: string;
    coffee?: string;
    charge_kg?: number | null;
    chosen?: boolean;
    confirm?: string; // why it should be confirmed
}

export interface RoastEntry {
    id: number;
    state: string;
    coffee?: string | null;
    target?: string | null;
    charged_utc?: string | null;
    roast_s?: number | null;
    target_version?: number | null;
    milestones?: Partial<Record<Milestone, { at_s: number; bean_c: number | null }>>;
    verdict?: { disposition: Disposition; at_drop?: Disposition; reasons: Reason[] | null } | null;
    facts?: Record<"charge_kg" | "roasted_kg" | "weight_loss_pct" | "colour", number | null>;
}

// The JSON of GET /api/probes as the page reads it; see api.ts. "reads" is without any correction, "shows" with it.

export interface CalibrationPoint {
    reads_c: number;
    is_c: number;
}

export type CheckMethod = "ice_point" | "boiling_point" | "comparison";
export type ProbeChange = "wiped" | "moved" | "replaced";

export interface ProbeCheck extends CalibrationPoint {
    at: string;
    who: string;
    method: CheckMethod;
    note: string;
}

export interface ProbeEpoch {
    at: string;
    who: string;
    what: ProbeChange;
    note: string;
}

/** What is wrong with the probe itself, or doubtful. */
export interface ProbeFault {
    name: string;
    sentence: string;
    look_first: string;
}

export interface Probe {
    channel: string;
    quality: string;
    probe_fault: ProbeFault | null;
    probe_faults: Record<string, number>; // how often each began since the daemon's start
    shows_c: number | null;
    reads_c: number | null;
    calibration: CalibrationPoint[]; // by rising readings; empty: none
    last_check: ProbeCheck | null;
    check_due_days: number | null; // 0 or less: overdue; null: the site asks for none
    epoch: ProbeEpoch | null;
}

export interface ProbeSite {
    check_every_days: number | null;
    altitude_m: number | null;
    boiling_point_c: number | null; // at that altitude
    largest_correction_c: number;
}

export interface Probes {
    probes: Probe[];
    site: ProbeSite;
}

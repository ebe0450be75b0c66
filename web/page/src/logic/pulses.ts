// Sound patterns of the page, told apart by their pulses and never by loudness. After the project's own proposal,
// which follows the idea of IEC 60601-1-8 (from memory; no conformity is claimed): high 3+2+3+2 pulses of 150 ms,
// medium 3 of 200 ms, low 2 of 200 ms once. Never continuous: that is kept for leaving the building.
import type { Priority } from "./api";

export interface Burst {
    pulses: { at_s: number; length_s: number }[];
    repeat_s: number | null; // from the start of a burst to the next; null: once
}

function train(groups: number[], length_s: number, step_s: number, pause_s: number): Burst["pulses"] {
    const pulses: Burst["pulses"] = [];
    let at_s = 0;
    for (const count of groups) {
        for (let i = 0; i < count; ++i, at_s += step_s) pulses.push({ at_s, length_s });
        at_s += pause_s;
    }
    return pulses;
}

export function burst(pattern: Priority): Burst {
    switch (pattern) {
        case "high":
            return { pulses: train([3, 2, 3, 2], 0.15, 0.22, 0.18), repeat_s: 3 };
        case "medium":
            return { pulses: train([3], 0.2, 0.4, 0), repeat_s: 10 };
        case "low":
            return { pulses: train([2], 0.2, 0.4, 0), repeat_s: null };
    }
}

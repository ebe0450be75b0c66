// The three ways to check a probe, as a person is guided through them. Common practice, no source; a careful ice bath
// is what ASTM E563 is about (title from memory, not read).
import type { CheckMethod } from "./api_probes";
import { temperature_of } from "./calibration";
import { pressure_of } from "./probes";
import type { Scale } from "./units";

export interface Guide {
    name: string;
    short: string; // which of them to take
    steps: string[];
    caution: string;
}

const kOffAndCool = "Take a probe out only with the machine off and cool, as its manual says.";

export const kGuides: Record<CheckMethod, Guide> = {
    ice_point: {
        name: "ice point",
        short: "crushed ice and water, 0 °C (32 °F): the surest",
        steps: [
            "Fill a vacuum flask to the brim with crushed ice of clean water.",
            "Pour in clean cold water until it fills the gaps. The ice must still reach the bottom: where it floats, pour water off.",
            "Put the tip into the middle, deep, off the wall and off the bottom.",
            "Stir gently, for some minutes, until the reading stands still.",
        ],
        caution: `${kOffAndCool} Keep water off mains, plugs and the instrument.`,
    },
    boiling_point: {
        name: "boiling point",
        short: "water at a full boil: near 100 °C (212 °F)",
        steps: [
            "Let clean water boil hard in a kettle or a pot, and keep it boiling.",
            "Hold the tip in the water, off the bottom and off the wall: they are hotter.",
            "Wait until the reading stands still.",
            "Read the air pressure from a barometer at the site. A weather report gives it for sea level: that will not do.",
        ],
        caution: `${kOffAndCool} Steam and boiling water scald: clamp the probe or wear gloves, face and hands out of the steam. Keep water off mains and plugs.`,
    },
    comparison: {
        name: "comparison",
        short: "beside a thermometer that you trust, at any temperature",
        steps: [
            "Take a thermometer whose own calibration is known and not too old.",
            "Put both tips close together, at the same depth, into something that keeps its temperature: a stirred bath or a block. Moving hot air will not do.",
            "Wait until both stand still.",
            "Read the other one at the moment you take the check.",
        ],
        caution: `${kOffAndCool} Never a flame on a probe. What is hot burns: gloves, and follow the manual of bath or block.`,
    },
};

export interface TypedCheck {
    pressure: string;
    is: string;
    note: string;
}

/** What goes into the body with channel and name; null: something is missing or can't be read. */
export function check_fields(
    method: CheckMethod,
    typed: TypedCheck,
    site_boils: boolean,
    scale: Scale,
): Record<string, unknown> | null {
    const note = typed.note.trim() ? { note: typed.note.trim() } : {};
    if (method === "ice_point") return { method, ...note };
    if (method === "comparison") {
        const is_c = temperature_of(typed.is, scale);
        return is_c === null ? null : { method, is_c, ...note };
    }
    if (typed.pressure.trim() === "") return site_boils ? { method, ...note } : null;
    const pressure_hpa = pressure_of(typed.pressure);
    return pressure_hpa === null ? null : { method, pressure_hpa, ...note };
}

// What this tablet remembers: unit, theme, view. Storage may be missing or full; then the choice lasts until reload.
import type { Scale } from "./units";

export type Theme = "auto" | "light" | "dark";

export interface Settings {
    scale: Scale;
    theme: Theme;
    wall: boolean; // number, next and forecast only, for a screen that is watched from afar
}

const kKey = "drumwatch.settings";

export function parse_settings(text: string | null): Settings {
    let read: Partial<Settings> = {};
    try {
        read = (text ? JSON.parse(text) : {}) as Partial<Settings>;
    } catch {
        read = {};
    }
    return {
        scale: read?.scale === "f" ? "f" : "c",
        theme: read?.theme === "light" || read?.theme === "dark" ? read.theme : "auto",
        wall: read?.wall === true,
    };
}

export function load_settings(): Settings {
    try {
        return parse_settings(localStorage.getItem(kKey));
    } catch {
        return parse_settings(null);
    }
}

export function save_settings(settings: Settings): void {
    try {
        localStorage.setItem(kKey, JSON.stringify(settings));
    } catch {
        // Private windows refuse storage; the page works without.
    }
}

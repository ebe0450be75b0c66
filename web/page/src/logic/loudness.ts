// Whether a sounder can be heard where people stand: what a site measures with its own sound-level meter, and what
// is remembered of it on this tablet. Levels in dB(A), of the meter's A-weighting.
// Bounds: ISO 7731 as public guidance tells it (the standard itself was not read): at least 15 dB(A) over the noise
// and at least 65 dB(A); 90 dB(A) at most is common practice, no source, where the site sets no other limit.

export const kOverNoise = 15;
export const kLeast = 65;
export const kMost = 90;

export interface Loudness {
    noise: number;
    alarm: number;
    most: number; // the site's limit
    heard: boolean; // by those who work there
}

export interface LoudnessResult extends Loudness {
    utc: string;
}

/** "78", "78.5", "78,5": between 20 and 140, what a meter can show; else null. */
export function level_of(typed: string): number | null {
    const text = typed.trim().replace(",", ".");
    if (!/^\d{1,3}(\.\d{1,2})?$/.test(text)) return null;
    const level = Number(text);
    return level >= 20 && level <= 140 ? level : null;
}

/** What is wrong; empty: it will do. */
export function loudness_faults(measured: Loudness): string[] {
    const faults = [];
    const over = measured.alarm - measured.noise;
    if (over < kOverNoise)
        faults.push(`It is ${words(over)} dB(A) over the noise; at least ${kOverNoise} are asked for.`);
    if (measured.alarm < kLeast) faults.push(`It is ${words(measured.alarm)} dB(A); at least ${kLeast} are asked for.`);
    if (measured.alarm > measured.most)
        faults.push(`It is ${words(measured.alarm)} dB(A); ${words(measured.most)} are allowed here.`);
    if (!measured.heard) faults.push("Somebody could not hear it over the noise.");
    return faults;
}

export function words(level: number): string {
    return (Math.round(level * 10) / 10).toString().replace("-", "−");
}

const kKey = "drumwatch.loudness";

export function parse_loudness(text: string | null): LoudnessResult | null {
    let read: Partial<LoudnessResult> | null = null;
    try {
        read = text ? (JSON.parse(text) as Partial<LoudnessResult>) : null;
    } catch {
        return null;
    }
    const number = (value: unknown): value is number => typeof value === "number" && Number.isFinite(value);
    if (!read || !number(read.noise) || !number(read.alarm) || !number(read.most)) return null;
    if (typeof read.utc !== "string" || Number.isNaN(Date.parse(read.utc))) return null;
    return { noise: read.noise, alarm: read.alarm, most: read.most, heard: read.heard === true, utc: read.utc };
}

export function load_loudness(): LoudnessResult | null {
    try {
        return parse_loudness(localStorage.getItem(kKey));
    } catch {
        return null;
    }
}

/** False: this browser remembers nothing. */
export function save_loudness(result: LoudnessResult): boolean {
    try {
        localStorage.setItem(kKey, JSON.stringify(result));
        return true;
    } catch {
        return false;
    }
}

// The page's own sound, beside the station's wired sounder, which is the one to rely on. A browser lets no page make
// a sound before a tap: arm() must be called inside one, and state() says honestly whether it can be heard.
import type { Priority } from "./logic/api";
import { burst } from "./logic/pulses";

export type SoundState = "not armed" | "armed" | "suspended";

// A fundamental of 500 Hz with strong harmonics stands out from the noise of a drum.
const kFundamentalHz = 500;
const kHarmonics = new Float32Array([0, 1, 0.8, 0.7, 0.6, 0.5]);

export class SoundBox {
    private context: AudioContext | null = null;
    private pattern: "off" | Priority = "off";
    private next_s: number | null = null; // when the next burst is due, in the context's time

    async arm(): Promise<void> {
        this.context ??= new AudioContext();
        await this.context.resume();
        this.burst_at(this.context.currentTime + 0.05, "low");
    }

    state(): SoundState {
        if (!this.context) return "not armed";
        return this.context.state === "running" ? "armed" : "suspended";
    }

    /** Call it often: starts, repeats and stops the pattern. */
    play(pattern: "off" | Priority): void {
        if (this.context?.state !== "running") return;
        const now_s = this.context.currentTime;
        if (pattern !== this.pattern) {
            this.pattern = pattern;
            this.next_s = pattern === "off" ? null : now_s;
        }
        if (pattern === "off" || this.next_s === null || now_s < this.next_s) return;
        this.burst_at(now_s + 0.02, pattern);
        const repeat_s = burst(pattern).repeat_s;
        this.next_s = repeat_s === null ? null : now_s + repeat_s;
    }

    private burst_at(start_s: number, pattern: Priority): void {
        for (const pulse of burst(pattern).pulses) this.pulse(start_s + pulse.at_s, pulse.length_s);
    }

    private pulse(start_s: number, length_s: number): void {
        const context = this.context as AudioContext;
        const tone = context.createOscillator();
        const gain = context.createGain();
        tone.setPeriodicWave(context.createPeriodicWave(kHarmonics, new Float32Array(kHarmonics.length)));
        tone.frequency.value = kFundamentalHz;
        gain.gain.setValueAtTime(0, start_s);
        gain.gain.linearRampToValueAtTime(0.5, start_s + 0.01);
        gain.gain.setValueAtTime(0.5, start_s + length_s - 0.02);
        gain.gain.linearRampToValueAtTime(0, start_s + length_s);
        tone.connect(gain).connect(context.destination);
        tone.start(start_s);
        tone.stop(start_s + length_s);
    }
}

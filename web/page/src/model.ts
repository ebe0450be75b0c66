// Everything the page knows, and the few ways in which it changes. One object; whoever changes it calls redraw().
import type { RoastEntry, Status, TargetEntry, TargetFile } from "./logic/api";
import type { AlarmFigures } from "./logic/api_alarms";
import type { Probes } from "./logic/api_probes";
import { type Outcome, send_command } from "./logic/commands";
import { History } from "./logic/history";
import { Link } from "./logic/link";
import { without_values } from "./logic/lost";
import { load_settings, type Settings, save_settings } from "./logic/settings";
import { SoundBox } from "./sound";

export type Dialog =
    | "deviation"
    | "forecast"
    | "milestones"
    | "move"
    | "drop"
    | "verdict"
    | "safety"
    | "settings"
    | "alarms"
    | "alarm"
    | "aside"
    | "sounders"
    | "figures"
    | "care"
    | "probes"
    | "confirm"
    | "roast"
    | "batch"
    | null;

export interface Undo {
    mark: string;
    until_ms: number;
    since_ms: number;
}

export const kUndoMs = 10_000;
const kRowlessMs = 3000;
const kAskAgainMs = 2000;

export class Model {
    heard: Status | null = null; // as it came
    history = new History();
    target: TargetFile | null = null;
    targets: TargetEntry[] = [];
    roasts: RoastEntry[] = [];
    settings: Settings = load_settings();
    dialog: Dialog = null;
    batch = 0; // whose sheet "batch" is
    alarm = 0; // whose sheet "alarm" is
    confirming = ""; // which target the sheet "confirm" is about
    undo: Undo | null = null;
    notice = "";
    sleep_note = "";
    sound = new SoundBox();
    redraw: () => void = () => undefined;
    private notice_timer = 0;
    private lists_key = "";
    private target_key = "";

    link = new Link({
        open: (url) => new EventSource(url) as never,
        later: (act, ms) => window.setTimeout(act, ms),
        cancel: (timer) => window.clearTimeout(timer),
        now: () => performance.now(),
        on_history: (columns) => this.history.absorb(columns),
        on_status: (status) => this.take(status),
    });

    live(): boolean {
        return this.link.live();
    }

    /** What may be shown now: with the link lost, no numbers. */
    status(): Status | null {
        return this.heard && !this.live() ? without_values(this.heard) : this.heard;
    }

    /** The daemon's tick now: that of the newest status, and the time since when nothing more comes. */
    now_ms(): number {
        const heard = this.heard;
        if (!heard) return 0;
        const speed = heard.simulated?.speed ?? 1;
        return this.history.tick_of(heard) + (this.live() ? 0 : (this.link.age_ms() ?? 0) * speed);
    }

    /** From how long on (daemon's time) a stretch without any row counts as not seen. */
    rowless_ms(): number {
        return kRowlessMs * (this.heard?.simulated?.speed ?? 1);
    }

    change(settings: Partial<Settings>): void {
        this.settings = { ...this.settings, ...settings };
        save_settings(this.settings);
        this.redraw();
    }

    show(dialog: Dialog): void {
        this.dialog = dialog;
        this.redraw();
    }

    show_batch(id: number): void {
        this.batch = id;
        this.show("batch");
    }

    show_alarm(id: number): void {
        this.alarm = id;
        this.show("alarm");
    }

    show_confirm(target: string): void {
        this.confirming = target;
        this.show("confirm");
    }

    /** Null: the daemon did not answer. */
    async probes(): Promise<Probes | null> {
        return this.get<Probes>("/api/probes");
    }

    /** What is said of a probe, or of a target that hangs on one: the list of targets may change with it. */
    async tell_probes(path: string, body: Record<string, unknown>): Promise<Outcome> {
        const outcome = await this.command(path, body);
        this.fetch_lists_anew();
        return outcome;
    }

    /** How good the alarms are, or a sentence. */
    async alarm_figures(query: string): Promise<AlarmFigures | string> {
        const figures = await this.get<AlarmFigures>(`/api/alarms/figures${query}`);
        return figures ?? "The daemon does not give the figures now.";
    }

    /** The whole batch once the record has told of it; until then the verdict alone. */
    show_verdict(roast: number): void {
        if (this.roasts.some((each) => each.id === roast && each.verdict)) this.show_batch(roast);
        else this.show("verdict");
    }

    async command(path: string, body: Record<string, unknown> = {}): Promise<Outcome> {
        if (!this.live()) return { done: false, text: "No live data: commands wait." };
        const outcome = await send_command(
            { fetch: (to, init) => fetch(to, init), random: (bytes) => crypto.getRandomValues(bytes as never) },
            path,
            body,
        );
        this.say(outcome.text);
        return outcome;
    }

    async mark(mark: string, ago_s = 0): Promise<void> {
        const outcome = await this.command("/api/marks", {
            mark,
            ...(ago_s > 0 ? { ago_s } : {}),
            ...this.seen(),
        });
        const now = performance.now();
        if (outcome.done) this.undo = { mark, since_ms: now, until_ms: now + kUndoMs };
        this.redraw();
    }

    /** What the person has before them: another tablet may have marked meanwhile. */
    private seen(): { seen?: number } {
        return this.heard ? { seen: this.heard.sequence } : {};
    }

    async withdraw(mark: string): Promise<void> {
        const outcome = await this.command("/api/marks/withdraw", { mark, ...this.seen() });
        if (outcome.done) this.undo = null;
        this.redraw();
    }

    async choose(name: string | null): Promise<void> {
        await this.command("/api/target", { name });
        this.fetch_lists_anew();
    }

    /** What was weighed or measured of a roast: the answer says what became of its verdict. */
    async tell_facts(roast: number, facts: Record<string, number>): Promise<Outcome> {
        const outcome = await this.command(`/api/roasts/${roast}/facts`, facts);
        this.fetch_lists_anew();
        return outcome;
    }

    say(text: string): void {
        this.notice = text;
        window.clearTimeout(this.notice_timer);
        if (text) this.notice_timer = window.setTimeout(() => this.say(""), 8000);
        this.redraw();
    }

    /** Every quarter of a second: what changes without news from the daemon. */
    beat(): void {
        this.link.check();
        const ended = this.undo !== null && performance.now() > this.undo.until_ms;
        if (ended) this.undo = null;
        const pattern = this.heard?.sounder.silenced ? "off" : (this.heard?.sounder.pattern ?? "off");
        this.sound.play(this.heard && !this.live() ? "low" : pattern);
        if (!this.live() || this.undo || ended) this.redraw();
    }

    private take(status: Status): void {
        this.heard = status;
        this.history.append(status);
        this.fetch_target();
        this.fetch_lists();
        this.redraw();
    }

    private fetch_target(): void {
        const wanted = this.heard?.target;
        const key = wanted ? `${wanted.name} ${wanted.version}` : "";
        if (key === this.target_key) return;
        this.target_key = key;
        this.target = null;
        if (!wanted) return;
        void this.get<TargetFile>(`/api/targets/${encodeURIComponent(wanted.name)}`).then((file) => {
            if (this.target_key !== key) return;
            if (file) this.target = file;
            else window.setTimeout(() => this.forget_target(key), 3000);
            this.redraw();
        });
    }

    private forget_target(key: string): void {
        if (this.target_key === key) this.target_key = "again";
    }

    private fetch_lists_anew(): void {
        this.lists_key = "";
        this.fetch_lists();
    }

    private fetch_lists(): void {
        const now = this.heard;
        if (!now) return;
        const verdict = now.last_verdict;
        const key = [
            now.watch,
            now.roast?.id,
            verdict?.roast,
            verdict?.disposition,
            now.target?.name,
            now.target?.version,
        ].join(" ");
        if (key === this.lists_key) return;
        this.lists_key = key;
        void this.get<{ targets: TargetEntry[] }>("/api/targets").then((body) => {
            this.targets = body?.targets ?? this.targets;
            this.redraw();
        });
        void this.get<{ roasts: RoastEntry[] }>("/api/roasts?limit=6").then((body) => {
            this.roasts = body?.roasts ?? this.roasts;
            const unfinished = this.roasts.some((each) => each.state === "roasting") && !this.heard?.roast;
            if (!body || unfinished) window.setTimeout(() => this.ask_again(key), kAskAgainMs);
            this.redraw();
        });
    }

    /** The record closes a roast a moment after its drop. */
    private ask_again(key: string): void {
        if (this.lists_key === key) this.lists_key = "";
    }

    private async get<Body>(path: string): Promise<Body | null> {
        try {
            const response = await fetch(path);
            return response.ok ? ((await response.json()) as Body) : null;
        } catch {
            return null;
        }
    }
}

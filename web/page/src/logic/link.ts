// The live stream and whether it can be believed. Times are the page's own steady clock in ms. A stream that ends or
// errs is closed and a new one made (a browser gives up on any answer but 200), after a delay that grows to 5 s; it
// asks for what came after the last event it saw. A hidden page holds no stream.
import type { HistoryColumns, Status } from "./api";

export interface Stream {
    addEventListener(type: string, listener: (event: { data?: string; lastEventId?: string }) => void): void;
    close(): void;
}

export interface LinkParts {
    open: (url: string) => Stream;
    later: (act: () => void, ms: number) => number;
    cancel: (timer: number) => void;
    now: () => number;
    on_history: (columns: HistoryColumns) => void;
    on_status: (status: Status) => void;
}

const kFirstDelayMs = 500;
const kLongestDelayMs = 5000;
const kLeastPatienceMs = 2000;
const kMissedUpdates = 3;

export class Link {
    private stream: Stream | null = null;
    private timer: number | null = null;
    private delay_ms = kFirstDelayMs;
    private last_id = "";
    private patience_ms = kLeastPatienceMs;
    private opened_ms = 0;
    received_ms: number | null = null;

    constructor(private readonly parts: LinkParts) {}

    start(): void {
        if (this.stream !== null) return;
        this.stop();
        const url = this.last_id ? `/api/live?after=${encodeURIComponent(this.last_id)}` : "/api/live";
        const stream = this.parts.open(url);
        this.stream = stream;
        this.opened_ms = this.parts.now();
        stream.addEventListener("history", (event) => this.take(stream, event, this.parts.on_history));
        stream.addEventListener("status", (event) => this.take(stream, event, (body: Status) => this.on_tick(body)));
        stream.addEventListener("error", () => this.retry(stream));
    }

    stop(): void {
        if (this.timer !== null) this.parts.cancel(this.timer);
        this.timer = null;
        this.stream?.close();
        this.stream = null;
    }

    /** A stream that is open and silent for long is as good as lost: make a new one. */
    check(): void {
        const since = this.parts.now() - Math.max(this.received_ms ?? 0, this.opened_ms);
        if (this.stream !== null && since > this.patience_ms + kLongestDelayMs) this.retry(this.stream);
    }

    /** Age of the newest status in ms; null before the first. */
    age_ms(): number | null {
        return this.received_ms === null ? null : this.parts.now() - this.received_ms;
    }

    live(): boolean {
        const age = this.age_ms();
        return age !== null && age <= this.patience_ms;
    }

    private on_tick(status: Status): void {
        this.received_ms = this.parts.now();
        this.delay_ms = kFirstDelayMs;
        this.patience_ms = Math.max(kLeastPatienceMs, kMissedUpdates * status.tick_ms);
        this.parts.on_status(status);
    }

    private take<Body>(
        stream: Stream,
        event: { data?: string; lastEventId?: string },
        use: (body: Body) => void,
    ): void {
        if (stream !== this.stream || event.data === undefined) return;
        let body: Body;
        try {
            body = JSON.parse(event.data) as Body;
        } catch {
            this.retry(stream);
            return;
        }
        if (event.lastEventId) this.last_id = event.lastEventId;
        use(body);
    }

    private retry(stream: Stream): void {
        if (stream !== this.stream) return;
        this.stop();
        this.timer = this.parts.later(() => {
            this.timer = null;
            this.start();
        }, this.delay_ms);
        this.delay_ms = Math.min(this.delay_ms * 2, kLongestDelayMs);
    }
}

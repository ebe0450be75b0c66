// A scripted station: serves the built page and one state of scripted_roast.mjs, ticking in real time, on a port of
// the kernel's choice. For looking at the page and for its tests:
//   node tests/page/support/station.mjs --dist DIR [--state drift]
import { readFileSync } from "node:fs";
import { createServer } from "node:http";
import { extname, join } from "node:path";
import { pathToFileURL } from "node:url";
import { parseArgs } from "node:util";
import { kFigures } from "./scripted_alarms.mjs";
import { probes_of } from "./scripted_probes.mjs";
import { history_of, kStates, kTarget, kTargetEntries, sequence_of, status_of } from "./scripted_roast.mjs";

const kTypes = { ".html": "text/html; charset=utf-8", ".js": "text/javascript", ".css": "text/css", ".svg": "image/svg+xml" };
// The page must work under the strictest policy that its server may set.
const kPolicy = "default-src 'self'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'";

const kFacts = { charge_kg: null, roasted_kg: null, weight_loss_pct: null, colour: null };
const batch = (id, hour, coffee, disposition, more = {}) => ({
    id, state: "finished", coffee, target: kTarget.name, target_version: 4, charged_utc: `2026-11-25T${hour}:00Z`, roast_s: 650,
    milestones: { first_crack: { at_s: 548, bean_c: 197.1, source: "mark" }, drop: { at_s: 655, bean_c: 212, source: "detected" } },
    verdict: { disposition, at_drop: disposition, reasons: [] }, facts: kFacts, moves: [], ...more,
});
const kRoasts = [
    batch(11, "10:21", "Fen Meadow, washed", "taste"),
    batch(10, "10:04", "Fen Meadow, washed", "clear"),
    batch(9, "09:46", "Long Drove, natural", "hold", {
        verdict: { disposition: "hold", at_drop: "clear", reasons: [{ rule: "weight_loss", text: "Weight loss is 17.2 %; the target's is 13.5 to 15.5 %.", calls_for: "hold" }] },
        facts: { charge_kg: 12, roasted_kg: 9.94, weight_loss_pct: 17.2, colour: null },
    }),
    batch(8, "09:30", "Long Drove, natural", null, { state: "aborted", verdict: null, milestones: {} }),
];
export class Station {
    constructor(dist, state) {
        this.dist = dist;
        this.state = { ...state };
        this.posts = [];
        this.targets = kTargetEntries;
        this.roasts = kRoasts;
        this.figures = kFigures;
        this.answer = (_path, _body) => ({ status: 200, body: { recorded: true, text: "" } });
        this.streams = new Set();
        this.urls = [];
        this.mute = false;
        this.no_probes = false;
        this.server = createServer((request, response) => this.serve(request, response));
    }

    async start() {
        await new Promise((done) => this.server.listen(0, "127.0.0.1", done));
        this.timer = setInterval(() => this.tick(), 250);
        return `http://127.0.0.1:${this.server.address().port}/`;
    }

    async stop() {
        clearInterval(this.timer);
        this.cut();
        this.server.closeAllConnections();
        await new Promise((done) => this.server.close(done));
    }

    set(state) {
        this.state = { ...state };
        this.cut();
    }

    /** The daemon goes: streams end, and while `mute` no new one opens. */
    cut() {
        for (const stream of this.streams) stream.destroy();
        this.streams.clear();
    }

    tick() {
        this.state.at_s += 0.25;
        for (const stream of this.streams) this.send(stream, "status", status_of(this.state));
    }

    send(stream, event, body) {
        stream.write(`id: 3-${sequence_of(this.state)}\nevent: ${event}\ndata: ${JSON.stringify(body)}\n\n`);
    }

    serve(request, response) {
        const url = new URL(request.url, "http://station/");
        this.urls.push(request.url);
        if (this.mute) return void response.writeHead(503).end();
        if (url.pathname === "/api/live") return this.stream(response);
        if (request.method === "POST") return this.take(request, response, url.pathname);
        if (url.pathname === "/api/targets") return json(response, { targets: this.state.targets ?? this.targets });
        if (url.pathname === "/api/probes" && !this.no_probes) return json(response, probes_of(this.state, status_of(this.state).channels));
        if (url.pathname === "/api/probes") return json(response, { detail: "not now" }, 504);
        if (url.pathname.startsWith("/api/targets/")) return json(response, kTarget);
        if (url.pathname === "/api/roasts") return json(response, { roasts: this.roasts });
        if (url.pathname === "/api/alarms/figures")
            return this.figures ? json(response, this.figures) : json(response, { detail: "not now" }, 504);
        const file = url.pathname === "/" ? "index.html" : url.pathname.slice(1);
        try {
            const body = readFileSync(join(this.dist, file));
            response.writeHead(200, { "Content-Type": kTypes[extname(file)], "Content-Security-Policy": kPolicy }).end(body);
        } catch {
            response.writeHead(404).end();
        }
    }

    stream(response) {
        response.writeHead(200, { "Content-Type": "text/event-stream", "Cache-Control": "no-store" });
        this.send(response, "history", history_of(this.state));
        this.send(response, "status", status_of(this.state));
        this.streams.add(response);
        response.on("close", () => this.streams.delete(response));
    }

    take(request, response, path) {
        let text = "";
        request.on("data", (part) => (text += part));
        request.on("end", () => {
            const body = JSON.parse(text);
            this.posts.push({ path, body, header: request.headers["x-drumwatch"], type: request.headers["content-type"] });
            const answer = this.answer(path, body);
            if (answer === null) return request.socket.destroy();
            json(response, answer.body, answer.status);
        });
    }
}

function json(response, body, status = 200) {
    response.writeHead(status, { "Content-Type": "application/json" }).end(JSON.stringify(body));
}

if (import.meta.url === pathToFileURL(process.argv[1]).href) {
    const { values } = parseArgs({ options: { dist: { type: "string" }, state: { type: "string", default: "roasting" } } });
    const station = new Station(values.dist, kStates[values.state]);
    console.log(`page: ${await station.start()}`);
}

// A scripted station: serves the built page and one state of scripted_roast.mjs, ticking in real time, on a port of
// the kernel's choice. For looking at the page and for its tests:
//   node tests/page/support/station.mjs --dist DIR [--state drift]
import { readFileSync } from "node:fs";
import { createServer } from "node:http";
import { extname, join } from "node:path";
import { pathToFileURL } from "node:url";
import { parseArgs } from "node:util";
import { history_of, kStates, kTarget, sequence_of, status_of } from "./scripted_roast.mjs";

const kTypes = { ".html": "text/html; charset=utf-8", ".js": "text/javascript", ".css": "text/css", ".svg": "image/svg+xml" };
// The page must work under the strictest policy that its server may set.
const kPolicy = "default-src 'self'; frame-ancestors 'none'; base-uri 'none'; form-action 'none'";

const kRoasts = [
    { id: 11, state: "judged", coffee: "Fen Meadow, washed", charged_utc: "2026-11-25T10:21:00Z", roast_s: 655, verdict: { disposition: "taste", reasons: [] } },
    { id: 10, state: "judged", coffee: "Fen Meadow, washed", charged_utc: "2026-11-25T10:04:00Z", roast_s: 661, verdict: { disposition: "clear", reasons: [] } },
    { id: 9, state: "judged", coffee: "Long Drove, natural", charged_utc: "2026-11-25T09:46:00Z", roast_s: 640, verdict: { disposition: "hold", reasons: [] } },
    { id: 8, state: "aborted", coffee: "Long Drove, natural", charged_utc: "2026-11-25T09:30:00Z", roast_s: null, verdict: null },
];
const kTargets = [
    { name: kTarget.name, version: 4, status: "approved", coffee: kTarget.coffee, charge_kg: 12, chosen: true },
    { name: "long-drove-natural", version: 2, status: "trial", coffee: "Long Drove, natural", charge_kg: 10, chosen: false },
];

export class Station {
    constructor(dist, state) {
        this.dist = dist;
        this.state = { ...state };
        this.posts = [];
        this.targets = kTargets;
        this.roasts = kRoasts;
        this.answer = (_path, _body) => ({ status: 200, body: { recorded: true, text: "" } });
        this.streams = new Set();
        this.urls = [];
        this.mute = false;
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
        if (url.pathname === "/api/targets") return json(response, { targets: this.targets });
        if (url.pathname.startsWith("/api/targets/")) return json(response, kTarget);
        if (url.pathname === "/api/roasts") return json(response, { roasts: this.roasts });
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

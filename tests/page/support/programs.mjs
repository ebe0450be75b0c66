// The real simulator and the real daemon as processes. Ports are the kernel's choice; nothing is killed by name.
// DRUMWATCH_BIN_DIR holds the programs.
import assert from "node:assert/strict";
import { spawn } from "node:child_process";
import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";

const root = join(dirname(fileURLToPath(import.meta.url)), "../../..");
const programs = process.env.DRUMWATCH_BIN_DIR ?? join(root, "build/release/bin");
const children = [];

/** Starts a program; `line(pattern)` resolves with the first match in what it prints. */
export function start(name, args) {
    const file = join(programs, name);
    assert.ok(existsSync(file), `${file} is missing: set DRUMWATCH_BIN_DIR`);
    const child = spawn(file, args, { stdio: ["ignore", "pipe", "pipe"] });
    children.push(child);
    const said = [];
    const waiting = [];
    const hear = (text) => {
        said.push(text);
        for (const each of waiting) each();
    };
    createInterface({ input: child.stdout }).on("line", hear);
    createInterface({ input: child.stderr }).on("line", hear);
    const ended = new Promise((done) => child.once("exit", done));
    const line = (pattern) =>
        new Promise((done, fail) => {
            const look = () => {
                const found = said.map((text) => text.match(pattern)).find(Boolean);
                if (found) done(found);
            };
            waiting.push(look);
            look();
            ended.then((code) => fail(new Error(`${name} ended (${code}) before it said ${pattern}:\n${said.join("\n")}`)));
        });
    return { child, ended, line, said };
}

export async function stop(program) {
    program.child.kill("SIGTERM");
    return program.ended;
}

/** Whatever of them still runs. */
export function end_all(signal) {
    for (const child of children) if (child.exitCode === null && child.signalCode === null) child.kill(signal);
}

/** The example station of the demo with these ports, speed and folder; `more`: further sections of it. */
export function write_station(folder, modbus_port, web_port, speed, more = "") {
    const text = readFileSync(join(root, "conf/demo.json"), "utf8")
        .replace('"port": 15020', `"port": ${modbus_port}`)
        .replace('"speed": 4', `"speed": ${speed}`)
        .replace('"port": 8420', `"port": ${web_port}`)
        .replaceAll('"targets/', `"${join(root, "conf/targets")}/`)
        .replace('"demo.sqlite"', JSON.stringify(join(folder, "record.sqlite")))
        .replace("{", `{${more}`);
    const file = join(folder, "station.json");
    writeFileSync(file, text);
    return file;
}

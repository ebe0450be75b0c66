// The configuration's JSON Schema (draft 2020-12) judged by an independent validator, ajv: every example passes,
// and of the table of usual mistakes exactly those pass that a schema can't express.
import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import { createRequire } from "node:module";
import { test } from "node:test";
import { fileURLToPath } from "node:url";

const root = fileURLToPath(new URL("../../../", import.meta.url));
const read = (name) => readFileSync(root + name, "utf8");
const { default: Validator } = createRequire(`${root}web/page/package.json`)("ajv/dist/2020.js");
const fits = new Validator({ allErrors: true, strict: false }).compile(JSON.parse(read("conf/station.schema.json")));

const parse = (text) => JSON.parse(text.replace(/"(?:\\.|[^"\\])*"|\/\/.*$/gm, (m) => (m[0] === '"' ? m : "")));
const rawStrings = (text) => [...text.matchAll(/R"(~?)\(([\s\S]*?)\)\1"/g)].map((match) => match[2]);
const [full] = rawStrings(read("tests/unit/config/full_config.hpp"));
const rowsOf = (name, width) => {
    const strings = rawStrings(read(`tests/unit/config/${name}`));
    assert.equal(strings.length % width, 0);
    return Array.from({ length: strings.length / width }, (_, i) => strings.slice(width * i, width * i + 2));
};
const rows = rowsOf("bad_rows.hpp", 3);
const slips = rowsOf("slip_rows.hpp", 3);
const goodRows = rowsOf("good_rows.hpp", 2);
const changed = (from, to) => {
    assert.ok(full.includes(from), from);
    return full.replace(from, () => to);
};

// JSON Schema 2020-12 has no word for two values of the file held against each other, nor for what a parser drops.
const beyondSchema = {
    '"name": "controller"': "the names of two buses are compared",
    '"bus": "loger", "unit"': "a channel's bus is compared with the buses' names",
    '"sounder": {"bus": "controler"': "a coil's bus is compared with the buses' names",
    '"coil": 4': "the coils of sounder and heartbeat are compared",
    '"span": [752, -4]': "two numbers are compared",
    '"cold_junction": "terminal"': "a cold junction is compared with the channels' names",
    '"cold_junction": "box"': "a cold junction is compared with the channels' names",
    '"cold_junction": "flue"': "the sensor of another channel",
    '"cold_junction": "duct"': "the sensor of another channel",
    '"cold_junction": "exhaust"': "the bus of another channel",
    '"cold_junction": "gas"': "the unit of another channel",
    '"low": 20, "high": 4': "two numbers are compared",
    '"upper_range_value": 0': "two numbers are compared",
    '"fault_below": 4.2': "two numbers are compared",
    '"fault_above": 19': "two numbers are compared",
    '"hold_c": 1.0': "two numbers are compared",
    '"empty the chaff bin"': "the names of two reminders are compared",
    '"setting_c": 230': "the limiter's setting is compared with the alarm's limit",
    '"pause_ms": 20}, {"unit_id": 3}]': "two units are compared",
    '"pause_ms": 20}, {"unit_id": 5}]': "a unit is compared with those of the bus's channels",
    '"address": 0, "unit_id": 255': "a unit is compared with the kind of its bus",
    "": "a channel without modbus and text is right on a playback bus",
    '"fields": 1': "a channel's field is compared with its bus",
    '"key": "a;b"': "a channel's key is compared with its bus",
    '"tick_ms": 500, "tick_ms": 250': "JSON.parse keeps the last of two equal keys",
};

test("every example fits the schema", () => {
    const examples = readdirSync(`${root}conf`).filter((name) => name.endsWith(".json") && !name.includes("schema"));
    assert.ok(examples.length >= 4);
    for (const name of examples) assert.ok(fits(parse(read(`conf/${name}`))), `${name}: ${JSON.stringify(fits.errors)}`);
});

test("of the usual mistakes the schema refuses all that it can express", () => {
    assert.ok(fits(parse(full)), JSON.stringify(fits.errors));
    assert.ok(rows.length >= 90);
    const accepted = rows.filter(([right, wrong]) => fits(parse(changed(right, wrong)))).map(([, wrong]) => wrong);
    assert.deepEqual(accepted.sort(), Object.keys(beyondSchema).sort());
});

test("what is called a slip is no JSON at all", () => {
    assert.ok(slips.length >= 30);
    for (const [right, wrong] of slips) assert.throws(() => parse(changed(right, wrong)), SyntaxError, wrong);
});

test("the schema refuses no other way to say it that the reader takes", () => {
    assert.ok(goodRows.length >= 20);
    for (const [one, other] of goodRows)
        assert.ok(fits(parse(changed(one, other))), `${other}: ${JSON.stringify(fits.errors)}`);
});

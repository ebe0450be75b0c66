// The configuration's JSON Schema (draft 2020-12) judged by an independent validator, ajv: every example passes,
// and of the table of usual mistakes exactly those pass that a schema can't express or that are no JSON at all.
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
const strings = rawStrings(read("tests/unit/config/bad_rows.hpp"));
const rows = Array.from({ length: strings.length / 3 }, (_, i) => strings.slice(3 * i, 3 * i + 2));

// What stands in two places of the file, or needs arithmetic, an address's meaning or the sight of a key twice.
const beyondSchema = [
    '"name": "controller"',
    '"name": "bean"',
    '"bus": "loger", "unit"',
    '"span": [752, -4]',
    '"scale": 0',
    '"coil": 4',
    '"sounder": {"bus": "controler"',
    '"setting_c": 230',
    '"hold_c": 1.0',
    '"host": "0.0.0.0"',
    '"tick_ms": 500, "tick_ms": 250',
];

test("every example fits the schema", () => {
    const examples = readdirSync(`${root}conf`).filter((name) => name.endsWith(".json") && !name.includes("schema"));
    assert.ok(examples.length >= 4);
    for (const name of examples) assert.ok(fits(parse(read(`conf/${name}`))), `${name}: ${JSON.stringify(fits.errors)}`);
});

test("of the usual mistakes the schema refuses all that it can express", () => {
    assert.ok(fits(parse(full)), JSON.stringify(fits.errors));
    assert.equal(strings.length % 3, 0);
    assert.ok(rows.length >= 60);
    const accepted = [];
    let noJson = 0;
    for (const [right, wrong] of rows) {
        assert.ok(full.includes(right), right);
        let value;
        try {
            value = parse(full.replace(right, () => wrong));
        } catch {
            noJson += 1;
            continue;
        }
        if (fits(value)) accepted.push(wrong);
    }
    assert.deepEqual(accepted.sort(), [...beyondSchema].sort());
    assert.equal(noJson, 31);
});

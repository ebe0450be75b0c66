import assert from "node:assert/strict";
import { test } from "node:test";
import { load } from "../support/modules.mjs";

const loudness = await load("loudness");
const measured = (noise, alarm, more = {}) => ({ noise, alarm, most: 90, heard: true, ...more });

test("15 dB(A) over the noise will do and a tenth less will not", () => {
    // ISO 7731 as public guidance tells it (the standard itself was not read): 15 dB(A) over the noise, 65 at least.
    assert.deepEqual(loudness.loudness_faults(measured(70, 85)), []);
    assert.match(loudness.loudness_faults(measured(70, 84.9))[0], /^It is 14\.9 dB\(A\) over the noise; at least 15/);
});

test("a quiet room asks for 65 dB(A) all the same", () => {
    assert.deepEqual(loudness.loudness_faults(measured(45, 65)), []);
    assert.match(loudness.loudness_faults(measured(45, 64))[0], /^It is 64 dB\(A\); at least 65/);
});

test("not more than 90 dB(A), or than the site allows", () => {
    assert.deepEqual(loudness.loudness_faults(measured(74, 90)), []);
    assert.match(loudness.loudness_faults(measured(74, 90.5))[0], /^It is 90\.5 dB\(A\); 90 are allowed/);
    assert.deepEqual(loudness.loudness_faults(measured(78, 94, { most: 95 })), []);
    assert.equal(loudness.loudness_faults(measured(70, 86, { most: 85 })).length, 1);
});

test("the meter alone is not enough: somebody who could not hear it outweighs it", () => {
    assert.deepEqual(loudness.loudness_faults(measured(70, 88, { heard: false })), ["Somebody could not hear it over the noise."]);
});

test("softer than the noise is said with a true minus", () => {
    assert.match(loudness.loudness_faults(measured(80, 74))[0], /^It is −6 dB\(A\) over/);
});

test("levels as people type them; what no meter shows is refused", () => {
    assert.equal(loudness.level_of("78"), 78);
    assert.equal(loudness.level_of(" 78,5 "), 78.5);
    for (const bad of ["", "loud", "7", "141", "-3", "78 dB", "1e2", "78.123"]) assert.equal(loudness.level_of(bad), null, bad);
});

test("what is remembered comes back whole, and nothing comes of what is broken", () => {
    const result = { ...measured(70, 86), utc: "2026-11-25T10:34:00Z" };
    assert.deepEqual(loudness.parse_loudness(JSON.stringify(result)), result);
    for (const bad of [null, "", "{", "null", "[]", "3", JSON.stringify({ ...result, noise: "70" }), JSON.stringify({ ...result, utc: "soon" })])
        assert.equal(loudness.parse_loudness(bad), null, String(bad));
});

test("without a storage it says that it remembers nothing", () => {
    assert.equal(loudness.load_loudness(), null);
    assert.equal(loudness.save_loudness({ ...measured(70, 86), utc: "2026-11-25T10:34:00Z" }), false);
});

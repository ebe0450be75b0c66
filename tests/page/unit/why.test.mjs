import assert from "node:assert/strict";
import { test } from "node:test";
import { load } from "../support/modules.mjs";

const why = await load("why");

const target = (more) => ({ name: "a", version: 1, status: "approved", bean_c: 150, deviation_c: 0.4, ahead_s: 2, corridor_c: 1.1, ...more });

test("where the burner stands against the plan is said, and nothing where nobody reads it", () => {
    assert.equal(why.burner_sentence(target({ burner_more: 8 })), "The burner stands 8 % above the plan.");
    assert.equal(why.burner_sentence(target({ burner_more: -3 })), "The burner stands 3 % below the plan.");
    assert.equal(why.burner_sentence(target({ burner_more: 0.4 })), "The burner stands where the plan has it.");
    assert.equal(why.burner_sentence(target({ burner_more: null })), "");
    assert.equal(why.burner_sentence(null), "");
});

test("what may come is a spread with its odds, in the tablet's scale", () => {
    const fan = [
        { in_s: 30, low_c: -0.5, high_c: 1 },
        { in_s: 60, low_c: -1, high_c: 2 },
    ];
    assert.equal(why.fan_sentence(fan, "c"), "8 times in 10 it will be in 30 s between −0.5 and +1.0 °C, in 60 s between −1.0 and +2.0 °C off the target.");
    assert.match(why.fan_sentence(fan, "f"), /between −0.9 and \+1.8 °F/);
    assert.equal(why.fan_sentence([], "c"), "");
});

test("leaving the corridor is said before, having left it with since when", () => {
    assert.equal(why.leaving_sentence(target({ leaves_in_s: 25 })), "As things stand it may leave the corridor in about 0:25.");
    assert.equal(why.leaving_sentence(target({ outside: true, outside_for_s: 21, leaves_in_s: null })), "It has been outside the corridor for 0:21.");
    assert.equal(why.leaving_sentence(target({ leaves_in_s: null })), "");
});

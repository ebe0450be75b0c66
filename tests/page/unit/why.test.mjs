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

test("each milestone says whether a hand or the curve set it", () => {
    const at = { at_s: 492, bean_c: 198.2, source: "mark" };
    assert.equal(why.milestone_sentence("first_crack", at, "c"), "First crack at 8:12, 198.2 °C: marked by hand.");
    const found = { at_s: 0, bean_c: null, source: "detected", why: "the bean temperature broke away; 95 % sure" };
    assert.equal(why.milestone_sentence("charge", found, "f"), "Charge at 0:00: the bean temperature broke away; 95 % sure.");
    const status = { roast: { milestones: { drop: at, charge: found, yellow: null } } };
    assert.deepEqual(why.milestone_sentences(status, "c").map((each) => each.split(" at ")[0]), ["Charge", "Drop"]);
});

test("a move says when it was planned and made, and how that was", () => {
    const move = { control: "burner", unit: "%", planned_to: 60, planned_at_s: 320, made_to: 60, made_at_s: 332, judged: "late" };
    assert.equal(why.move_sentence(move), "Burner to 60 %, planned at 5:20, made at 5:32: late.");
    const extra = { ...move, planned_to: null, planned_at_s: null, made_to: 55, judged: "extra" };
    assert.equal(why.move_sentence(extra), "Burner to 55 %, made at 5:32: extra.");
});

test("the drop says its rule, its time, and the development it then has", () => {
    const status = { roast: { milestones: {} }, drop: { at_s: 600 }, forecast: { first_crack: { at_s: 480 } } };
    assert.equal(
        why.drop_sentence(status, { after_first_crack_s: 120 }, "c"),
        "The target is dropped 2:00 after first crack. That comes at 10:00 since charge. Dropped then, it has 2:00 of development, 20 % of the roast, by the first crack that is expected.",
    );
    status.roast.milestones.first_crack = { at_s: 492, bean_c: 198, source: "mark" };
    assert.match(why.drop_sentence(status, { bean_c: 210 }, "c"), /dropped at 210 °C\. .* 1:48 of development, 18 % of the roast\.$/);
    assert.equal(why.drop_sentence({ ...status, drop: null }, undefined, "c"), "The target has no drop rule.");
});

test("the bean's reading says its quality", () => {
    const status = (bean) => ({ channels: bean ? { bean } : {} });
    assert.equal(why.bean_sentence(status({ value: 150, quality: "good", age_s: 0 }), "c"), "The bean probe reads 150.0 °C, good.");
    assert.match(why.bean_sentence(status({ value: null, quality: "open_circuit", age_s: 12 }), "c"), /^The bean probe: .*, the last good reading 0:12 ago\.$/);
    assert.equal(why.bean_sentence(status(null), "c"), "No channel reads the bean temperature.");
});

// Weight and colour as a hand types them.
import assert from "node:assert/strict";
import { test } from "node:test";
import { load } from "../support/modules.mjs";

const { facts_of, known_sentence, number_of } = await load("facts");

test("a decimal comma counts as a point, and what is no number is none", () => {
    assert.equal(number_of(" 10,26 "), 10.26);
    assert.equal(number_of("9"), 9);
    for (const wrong of ["", "10.26 kg", "-1", "1e3", "1.2345", "123456", "1,2,3", "NaN"]) assert.equal(number_of(wrong), null, wrong);
});

test("empty fields are not sent, and one that can't be read holds back all", () => {
    assert.deepEqual(facts_of({ charge_kg: "", roasted_kg: "10,2", colour: " " }), { roasted_kg: 10.2 });
    assert.deepEqual(facts_of({ charge_kg: "", roasted_kg: "", colour: "" }), {});
    assert.equal(facts_of({ charge_kg: "twelve", roasted_kg: "10.2", colour: "" }), null);
});

test("what the record has is said with its units, and nothing where it has nothing", () => {
    const none = { charge_kg: null, roasted_kg: null, weight_loss_pct: null, colour: null };
    assert.equal(known_sentence({ facts: none }), "");
    assert.equal(known_sentence({}), "");
    const text = known_sentence({ facts: { charge_kg: 12, roasted_kg: 10.26, weight_loss_pct: 14.5, colour: 57 } });
    assert.equal(text.replaceAll("\u00a0", " "), "In the record: charged 12.00 kg, roasted 10.26 kg, weight loss 14.5 %, colour 57.0.");
});

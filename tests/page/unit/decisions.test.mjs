import assert from "node:assert/strict";
import { test } from "node:test";
import { load } from "../support/modules.mjs";
import { kNormal, kStates, kTarget, status_of } from "../support/scripted_roast.mjs";

const alarms = await load("alarms");
const commands = await load("commands");
const ids = await load("ids");
const lost = await load("lost");
const mark = await load("mark");
const pulses = await load("pulses");
const settings = await load("settings");
const view = await load("view");

const at = (at_s, milestones = {}) => {
    const status = status_of({ ...kNormal, at_s });
    Object.assign(status.roast.milestones, milestones);
    return status;
};
const made = { at_s: 1, bean_c: 1, source: "mark" };

test("the one button goes through the roast in its order", () => {
    assert.equal(mark.next_mark(status_of(kStates.ready), kTarget).mark, "charge");
    const yellow = at(255);
    delete yellow.roast.milestones.yellow;
    assert.equal(mark.next_mark(yellow, kTarget).mark, "yellow");
    assert.equal(mark.next_mark(at(492), kTarget).mark, "first_crack");
    assert.equal(mark.next_mark(at(588, { first_crack: made }), kTarget).mark, "drop");
    assert.equal(mark.next_mark(at(660, { first_crack: made, drop: made }), kTarget), null);
});

test("a roaster who never marks yellow finds first crack on the button in time", () => {
    const late = at(330);
    delete late.roast.milestones.yellow;
    assert.equal(mark.next_mark(late, kTarget).mark, "first_crack");
    assert.equal(mark.next_mark(late, null).mark, "first_crack");
});

test("an estimate never changes the button under a hand; near the drop it is offered all the same", () => {
    const estimate = { first_crack: { at_s: 545, bean_c: 198, source: "detected" } };
    const cracking = at(546, estimate);
    cracking.prompts = [];
    assert.equal(mark.next_mark(cracking, kTarget).mark, "first_crack");
    cracking.prompts = [{ kind: "drop_near", text: "drop in about 0:20", in_s: 20 }];
    assert.equal(mark.next_mark(cracking, kTarget).mark, "drop");
});

test("second crack is offered only where the target has it", () => {
    const cracked = at(588, { first_crack: made });
    const dark = { ...kTarget, milestones: { ...kTarget.milestones, second_crack: { at_s: 700 } } };
    assert.equal(mark.next_mark(cracked, dark).mark, "second_crack");
});

test("no charge can be marked without a bean reading", () => {
    assert.equal(mark.next_mark(status_of({ ...kStates.ready, bean: "open_circuit" }), kTarget), null);
});

test("with the daemon lost no number is left anywhere", () => {
    for (const [name, state] of Object.entries(kStates)) {
        const status = lost.without_values(status_of(state));
        for (const channel of Object.values(status.channels)) assert.equal(channel.value, null, name);
        for (const each of [status.target?.deviation_c, status.target?.bean_c, status.target?.ahead_s, status.next_move?.in_s])
            assert.ok(each === null || each === undefined, name);
        assert.equal(status.forecast, null);
        assert.deepEqual(status.fan, []);
        assert.equal(status.ready.to_charge, false);
    }
});

test("the page is about the roast, its verdict or the next charge", () => {
    assert.equal(view.choose_view(status_of(kStates.roasting)), "judged");
    assert.equal(view.choose_view(status_of(kStates.no_target)), "plain");
    assert.equal(view.choose_view(status_of(kStates.dropped_taste)), "dropped");
    assert.equal(view.choose_view(status_of(kStates.ready)), "between");
});

test("probes in words", () => {
    assert.equal(view.probes_words(status_of(kStates.roasting)), "probes good");
    assert.equal(view.probes_words(status_of(kStates.probe_lost)), "no reading: bean");
});

test("alarms are ordered by priority, then by need of a hand", () => {
    const found = alarms.in_order(status_of(kStates.two_alarms).alarms);
    assert.deepEqual(found.map((each) => each.priority), ["high", "medium", "low"]);
    assert.equal(alarms.others_words(found.slice(1)), "2 more: 1 medium, 1 low");
});

test("every priority has a shape and a number of its own", () => {
    assert.equal(new Set(Object.values(alarms.kShape)).size, 3);
    assert.deepEqual(Object.values(alarms.kNumber), ["1", "2", "3"]);
});

test("reset is offered only when latched, seen and over", () => {
    const states = ["unacknowledged", "acknowledged", "returned_unacknowledged", "latched_unacknowledged", "latched_acknowledged"];
    assert.deepEqual(states.filter((state) => alarms.can_reset({ state })), ["latched_acknowledged"]);
    assert.deepEqual(states.filter((state) => alarms.can_acknowledge({ state })), [states[0], states[2], states[3]]);
});

test("of an alarm that has ended the page does not say what to do about it as if it lasted", () => {
    const response = "Look at the probe.";
    assert.equal(alarms.response_words({ state: "acknowledged", response }), response);
    assert.doesNotMatch(alarms.response_words({ state: "returned_unacknowledged", response }), /probe/);
    assert.match(alarms.response_words({ state: "latched_acknowledged", response }), /[Rr]eset/);
});

test("sound patterns differ in pulses, keep pauses and are never continuous", () => {
    // Lengths of IEC 60601-1-8 as remembered (from memory; no conformity claimed): high 75 to 200 ms, others 125 to 250 ms.
    const high = pulses.burst("high");
    assert.equal(high.pulses.length, 10);
    assert.equal(pulses.burst("medium").pulses.length, 3);
    assert.equal(pulses.burst("low").pulses.length, 2);
    assert.equal(pulses.burst("low").repeat_s, null);
    for (const priority of ["high", "medium", "low"]) {
        const { pulses: train, repeat_s } = pulses.burst(priority);
        const [least, most] = priority === "high" ? [0.075, 0.2] : [0.125, 0.25];
        train.forEach((pulse, i) => {
            assert.ok(pulse.length_s >= least && pulse.length_s <= most);
            if (i > 0) assert.ok(pulse.at_s > train[i - 1].at_s + train[i - 1].length_s);
        });
        const last = train[train.length - 1];
        if (repeat_s !== null) assert.ok(last.at_s + last.length_s < repeat_s);
    }
});

test("ids have the layout of RFC 9562 version 4 and do not repeat", () => {
    const zero = ids.make_uuid((bytes) => bytes.fill(0));
    assert.equal(zero, "00000000-0000-4000-8000-000000000000");
    assert.equal(ids.make_uuid((bytes) => bytes.fill(255)), "ffffffff-ffff-4fff-bfff-ffffffffffff");
    const many = new Set(Array.from({ length: 200 }, () => ids.make_uuid((bytes) => crypto_bytes(bytes))));
    assert.equal(many.size, 200);
});

const { randomFillSync } = await import("node:crypto");
const crypto_bytes = (bytes) => randomFillSync(bytes);

const response = (status, body) => ({ status, ok: status < 300, json: async () => body });

test("a command is tried twice with one id, and says when it was acted on but not recorded", async () => {
    const bodies = [];
    const sender = (answers) => ({
        random: crypto_bytes,
        fetch: async (_path, init) => {
            bodies.push(JSON.parse(init.body));
            assert.equal(init.headers["X-Drumwatch"], "1");
            assert.equal(init.headers["Content-Type"], "application/json");
            const answer = answers.shift();
            if (answer === null) throw new TypeError("network");
            return answer;
        },
    });
    const done = await commands.send_command(sender([null, response(202, { recorded: false, text: "The disk is full." })]), "/api/marks", { mark: "yellow" });
    assert.equal(bodies.length, 2);
    assert.equal(bodies[0].client_id, bodies[1].client_id);
    assert.equal(bodies[0].mark, "yellow");
    assert.deepEqual(done, { done: true, text: "Acted, but not recorded. The disk is full." });
    const refused = await commands.send_command(sender([response(409, { title: "Conflict", detail: "There is no roast." })]), "/api/marks", {});
    assert.deepEqual(refused, { done: false, text: "Not done: There is no roast." });
    const gone = await commands.send_command(sender([null, null]), "/api/marks", {});
    assert.equal(gone.done, false);
});

test("settings that make no sense fall back", () => {
    assert.deepEqual(settings.parse_settings(null), { scale: "c", theme: "auto", wall: false });
    assert.deepEqual(settings.parse_settings("{"), { scale: "c", theme: "auto", wall: false });
    assert.deepEqual(settings.parse_settings("null"), { scale: "c", theme: "auto", wall: false });
    assert.deepEqual(settings.parse_settings('{"scale":"f","theme":"dark","wall":1}'), { scale: "f", theme: "dark", wall: false });
});

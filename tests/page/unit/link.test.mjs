import assert from "node:assert/strict";
import { test } from "node:test";
import { load } from "../support/modules.mjs";

const { Link } = await load("link");

// A clock, timers and streams that the test moves by hand.
function stage() {
    const here = { now: 0, timers: [], streams: [], statuses: [], histories: [] };
    here.link = new Link({
        open: (url) => {
            const stream = { url, closed: false, on: {} };
            stream.addEventListener = (type, listener) => (stream.on[type] = listener);
            stream.close = () => (stream.closed = true);
            here.streams.push(stream);
            return stream;
        },
        later: (act, ms) => here.timers.push({ act, at: here.now + ms }),
        cancel: (timer) => (here.timers[timer - 1].act = null),
        now: () => here.now,
        on_history: (columns) => here.histories.push(columns),
        on_status: (status) => here.statuses.push(status),
    });
    here.run = (until) => {
        here.now = until;
        for (const timer of here.timers)
            if (timer.act && timer.at <= until) {
                const act = timer.act;
                timer.act = null;
                act();
            }
    };
    here.newest = () => here.streams[here.streams.length - 1];
    here.send = (id, body = { tick_ms: 250 }) => here.newest().on.status({ data: JSON.stringify(body), lastEventId: id });
    return here;
}

test("fresh data is live and two seconds of silence are not", () => {
    const here = stage();
    here.link.start();
    assert.equal(here.link.live(), false);
    here.send("3-1");
    assert.equal(here.link.live(), true);
    here.now += 1999;
    assert.equal(here.link.live(), true);
    here.now += 2;
    assert.equal(here.link.live(), false);
});

test("a slow station is given three of its ticks", () => {
    const here = stage();
    here.link.start();
    here.send("3-1", { tick_ms: 1000 });
    here.now += 2999;
    assert.equal(here.link.live(), true);
    here.now += 2;
    assert.equal(here.link.live(), false);
});

test("a lost stream is closed and asked anew for what came after the last event", () => {
    const here = stage();
    here.link.start();
    here.send("3-1042");
    const first = here.newest();
    first.on.error({});
    assert.equal(first.closed, true);
    here.run(500);
    assert.equal(here.streams.length, 2);
    assert.equal(here.newest().url, "/api/live?after=3-1042");
});

test("while the daemon stays away the delay grows to five seconds and no further", () => {
    const here = stage();
    here.link.start();
    const waits = [];
    for (let i = 0; i < 7; ++i) {
        here.newest().on.error({});
        const timer = here.timers[here.timers.length - 1];
        waits.push(timer.at - here.now);
        here.run(timer.at);
    }
    assert.deepEqual(waits, [500, 1000, 2000, 4000, 5000, 5000, 5000]);
    here.send("3-2");
    here.newest().on.error({});
    assert.equal(here.timers[here.timers.length - 1].at - here.now, 500);
});

test("a stream that is open and silent is replaced", () => {
    const here = stage();
    here.link.start();
    here.send("3-1");
    here.now = 6000;
    here.link.check();
    assert.equal(here.newest().closed, false);
    here.now = 7500;
    here.link.check();
    assert.equal(here.newest().closed, true);
});

test("a hidden page holds no stream and pending retries die", () => {
    const here = stage();
    here.link.start();
    here.newest().on.error({});
    here.link.stop();
    here.run(60_000);
    assert.equal(here.streams.length, 1);
    here.link.start();
    assert.equal(here.streams.length, 2);
    here.link.start();
    assert.equal(here.streams.length, 2);
});

test("late events of an old stream are not heard", () => {
    const here = stage();
    here.link.start();
    const old = here.newest();
    here.link.stop();
    here.link.start();
    old.on.status({ data: '{"tick_ms":250}', lastEventId: "3-9" });
    old.on.error({});
    assert.equal(here.statuses.length, 0);
    assert.equal(here.newest().closed, false);
});

test("an event that is no JSON is a broken stream, not a crash", () => {
    const here = stage();
    here.link.start();
    here.newest().on.status({ data: "{", lastEventId: "3-1" });
    assert.equal(here.newest().closed, true);
    assert.equal(here.statuses.length, 0);
});

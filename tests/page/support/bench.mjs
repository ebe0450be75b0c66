// What every test of a sheet begins and ends with: a browser for the file, and for each test a scripted station and a
// page of it. `station` and `page` are those of the test that runs.
import assert from "node:assert/strict";
import { after, afterEach, before, beforeEach } from "node:test";
import { dist_dir, launch, open_page } from "./browser.mjs";
import { kStates } from "./scripted_roast.mjs";
import { Station } from "./station.mjs";

let browser;
export let station;
export let page;

/** Once in a file: each of its tests finds a station that is so. */
export function each_with(state) {
    before(async () => {
        browser = await launch();
    });
    after(async () => {
        await browser?.close();
    });
    beforeEach(() => {
        station = new Station(dist_dir(), kStates[state]);
    });
    afterEach(end);
}

async function end() {
    await page?.context().close();
    page = undefined;
    await station.stop();
}

/** A page of the station, which is so from now on. */
export async function visit(state, options) {
    station.state = { ...state };
    page = await open_page(browser, await station.start(), options);
}

/** Within a test: another station, which is so, and no page yet. */
export async function anew(state) {
    await end();
    station = new Station(dist_dir(), kStates[state]);
}

export const sheet = () => page.getByRole("dialog");
export const button = (name) => sheet().getByRole("button", { name });
export const posts = (path) => station.posts.filter((each) => each.path === path);
export const text_of = async (locator) => (await locator.innerText()).replaceAll(/\s+/g, " ");

/** The body of the newest command to a path; the deadline only stops a hang. */
export async function heard(path, count = 1) {
    for (const deadline = Date.now() + 20_000; posts(path).length < count; await page.waitForTimeout(20)) assert.ok(Date.now() < deadline, path);
    const { client_id, ...body } = posts(path)[count - 1].body;
    assert.ok(client_id);
    return body;
}

// The probes' sheet with the real simulator and the real daemon: a check, a correction and a change as a person makes
// them, each found in what the daemon tells and shows, and once more after a new start.
import assert from "node:assert/strict";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, test } from "node:test";
import { launch, open_page } from "./support/browser.mjs";
import { schema_of } from "./support/openapi.mjs";
import { open_probes } from "./support/probe_sheets.mjs";
import { end_all, start, stop, write_station } from "./support/programs.mjs";

const kSpeed = 4;
const kSeed = 7;
const kLongMs = 90_000; // only stops a hang
const kProbes = '"probes": {"check_every_days": 30, "altitude_m": 240},';

after(() => end_all("SIGKILL"));

test("checked, corrected and wiped on the page, and kept in the record", { timeout: 300_000 }, async (t) => {
    const folder = mkdtempSync(join(tmpdir(), "drumwatch-probes-"));
    const browser = await launch();
    t.after(async () => {
        await browser.close();
        end_all("SIGTERM");
        rmSync(folder, { recursive: true, force: true });
    });
    console.log(`seed ${kSeed}, speed ${kSpeed}`);
    const simulator = start("drumwatch-sim", ["--machine", "drum", "--speed", String(kSpeed), "--seed", String(kSeed), "--batches", "1", "--charge-offset", "40"]);
    const [, modbus_port] = await simulator.line(/^modbus: .*:(\d+)/);
    const station = (web_port) => write_station(folder, modbus_port, web_port, kSpeed, kProbes);
    let daemon = start("drumwatch", ["run", station(0)]);
    const [, url, web_port] = await daemon.line(/^page: (http:\/\/\S+:(\d+)\/)/);
    const page = await open_page(browser, url);
    const sheet = page.getByRole("dialog");
    const button = (name) => sheet.getByRole("button", { name });
    const field = (label) => sheet.getByLabel(label);
    const said = (words) => page.locator("dialog .said", { hasText: words }).waitFor({ timeout: kLongMs });
    const told = async (channel) => {
        const body = await page.evaluate(() => fetch("/api/probes").then((each) => each.json()));
        const fits = schema_of("ProbeList");
        assert.ok(fits(body), JSON.stringify(fits.errors));
        return { ...body.probes.find((each) => each.channel === channel), site: body.site };
    };

    // The tray stands in the room, so it is steady; nobody has checked it yet.
    const before = await told("tray");
    assert.deepEqual([before.last_check, before.check_due_days, before.epoch, before.calibration], [null, 0, null, []]);
    // 240 m: 984.8 hPa in the standard atmosphere (ISO 2533). At 1013.25 hPa water boils at 99.97 °C (ITS-90), and near
    // it by 0.028 °C less for each hPa (from memory): 99.2 °C.
    assert.ok(Math.abs(before.site.boiling_point_c - 99.2) < 0.05, `${before.site.boiling_point_c}`);
    await open_probes(page);
    await button(/^tray\s›/).click();
    await sheet.getByText("due: not checked yet").waitFor();
    await button("check it…").click();
    await sheet.getByText(/^steady for 15\ss and more$/).waitFor({ timeout: kLongMs });
    await button(/^comparison/).click();
    await button("it is in: next").click();
    await field("your name").fill("Ines");
    const reads_c = before.reads_c;
    const true_c = Math.round(reads_c * 10) / 10 - 1.5;
    await field(/^the other one reads/).fill(true_c.toFixed(1));
    await button("take this check").click();
    await sheet.getByText(/^It shows .* 1\.\d\stoo high\.$/).waitFor({ timeout: kLongMs });
    const checked = await told("tray");
    assert.deepEqual([checked.last_check.who, checked.last_check.method, checked.check_due_days], ["Ines", "comparison", 30]);
    assert.ok(Math.abs(checked.last_check.is_c - true_c) < 1e-9 && Math.abs(checked.last_check.reads_c - reads_c) < 1);

    await button("correct by this check alone…").click();
    await button("what will change?").click();
    assert.match(await sheet.locator(".changes").innerText(), /^tray shows 1\.\d\s°C less everywhere from now on\.$/);
    await button("correct it so").click();
    await said("Its readings are corrected by 1 point from now on.");
    const corrected = await told("tray");
    assert.equal(corrected.calibration.length, 1);
    await page.waitForFunction(async () => {
        const { probes } = await (await fetch("/api/probes")).json();
        const tray = probes.find((each) => each.channel === "tray");
        return Math.abs(tray.reads_c - tray.shows_c - (tray.calibration[0].reads_c - tray.calibration[0].is_c)) < 0.2;
    }, null, { timeout: kLongMs });

    await button("all probes").click();
    await button(/^bean\s›/).click();
    await button(/^it was wiped/).click();
    await button("wiped").click();
    assert.equal(await field("your name").inputValue(), "Ines");
    await button("bean was wiped").click();
    await said("What was learned of its temperatures counts for little");
    await button("close").click();
    await page.locator(".choice-doubt", { hasText: "from before the bean probe was wiped" }).waitFor({ timeout: kLongMs });
    await page.getByRole("button", { name: "still holds…" }).click();
    await field("your name").fill("Ines");
    await button("it still holds").click();
    await said("is taken to hold with the probe as it is now");
    await button("close").click();
    await page.locator(".choice-doubt").waitFor({ state: "detached", timeout: kLongMs });
    assert.deepEqual(page.problems, []);

    assert.equal(await stop(daemon), 0);
    daemon = start("drumwatch", ["run", station(web_port)]);
    await daemon.line(/^page: /);
    const again = await told("tray");
    assert.deepEqual([again.calibration, again.last_check], [corrected.calibration, corrected.last_check]);
    assert.equal((await told("bean")).epoch.what, "wiped");
    assert.equal(await stop(daemon), 0);
    await stop(simulator);
});

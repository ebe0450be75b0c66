// Pictures of every state in every size, light and dark, for the eye:
//   DRUMWATCH_PAGE_DIST=... node tests/page/support/shots.mjs OUT_DIR [STATE...]
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { dist_dir, kSizes, launch, open_page } from "./browser.mjs";
import { kStates } from "./scripted_roast.mjs";
import { Station } from "./station.mjs";

const [out, ...wanted] = process.argv.slice(2);
if (!out) {
    console.error("usage: node shots.mjs OUT_DIR [STATE...]");
    process.exit(2);
}
mkdirSync(out, { recursive: true });
const browser = await launch();
for (const name of wanted.length ? wanted : [...Object.keys(kStates), "lost"]) {
    const station = new Station(dist_dir(), kStates[name] ?? kStates.roasting);
    const url = await station.start();
    for (const size of Object.keys(kSizes))
        for (const scheme of ["light", "dark"]) {
            const page = await open_page(browser, url, { size, scheme });
            await page.waitForTimeout(400);
            if (name === "lost") {
                station.mute = true;
                station.cut();
                await page.waitForTimeout(8000);
                station.mute = false;
            }
            await page.screenshot({ path: join(out, `${name}-${size}-${scheme}.png`), fullPage: size === "phone" });
            if (page.problems.length > 0 && name !== "lost") console.log(name, size, scheme, page.problems);
            await page.context().close();
        }
    await station.stop();
}
await browser.close();

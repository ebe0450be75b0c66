// Debian's Chromium through playwright-core, both found where the page's packages are. A profile of its own each time.
import { createRequire } from "node:module";
import { existsSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

export const kPageDir = join(dirname(fileURLToPath(import.meta.url)), "../../../web/page");
export const page_require = createRequire(join(kPageDir, "package.json"));

/** The page as it was built: DRUMWATCH_PAGE_DIST, set by ctest. */
export function dist_dir() {
    const dist = process.env.DRUMWATCH_PAGE_DIST ?? join(kPageDir, "dist");
    if (!existsSync(join(dist, "index.html"))) throw new Error(`no built page in ${dist}: set DRUMWATCH_PAGE_DIST`);
    return dist;
}

export async function launch() {
    const { chromium } = page_require("playwright-core");
    return chromium.launch({
        executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
        args: [
            "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
            "--disable-component-update", "--disable-sync",
        ],
    });
}

export const kSizes = {
    tablet: { width: 1280, height: 800 },
    phone: { width: 390, height: 844 },
    wall: { width: 1920, height: 1080 },
};

export async function open_page(browser, url, { size = "tablet", scheme = "light", ...options } = {}) {
    const context = await browser.newContext({ viewport: kSizes[size], colorScheme: scheme, timezoneId: "UTC", ...options });
    const page = await context.newPage();
    page.problems = [];
    page.on("pageerror", (error) => page.problems.push(String(error)));
    page.on("console", (message) => message.type() === "error" && page.problems.push(message.text()));
    await page.goto(url);
    await page.waitForSelector("main section.left");
    return page;
}

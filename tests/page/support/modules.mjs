// The page's TypeScript modules as they are, bundled in memory, so that the tests run on Node 18 too.
import { join } from "node:path";
import { kPageDir, page_require } from "./browser.mjs";

export async function load(name) {
    const { build } = page_require("esbuild");
    const result = await build({
        entryPoints: [join(kPageDir, "src/logic", `${name}.ts`)],
        bundle: true,
        write: false,
        format: "esm",
        target: "es2021",
        logLevel: "warning",
    });
    const text = Buffer.from(result.outputFiles[0].contents).toString("base64");
    return import(`data:text/javascript;base64,${text}`);
}

// Builds the page and, for the daemon, one C++ file with every byte of it:
//   node build.mjs --out DIR [--cpp FILE]
// Names of script, style and icon carry the hash of their content, so that a browser may keep them for ever; the
// index page carries the build's. gzip is written without a time stamp. Same sources, same Node: same bytes.
import { createHash } from "node:crypto";
import { mkdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { dirname, extname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { constants, gzipSync } from "node:zlib";
import { build } from "esbuild";

const here = dirname(fileURLToPath(import.meta.url));
const { values } = parseArgs({ options: { out: { type: "string" }, cpp: { type: "string" } } });
if (!values.out) {
    console.error("usage: node build.mjs --out DIR [--cpp FILE]");
    process.exit(2);
}

const kTypes = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".svg": "image/svg+xml",
};

const hash = (bytes) => createHash("sha256").update(bytes).digest("hex").slice(0, 16);

async function bundle() {
    const result = await build({
        entryPoints: [join(here, "src/main.tsx")],
        outdir: "out",
        bundle: true,
        minify: true,
        write: false,
        format: "esm",
        target: ["es2021", "chrome100", "firefox100", "safari15"],
        jsx: "automatic",
        jsxImportSource: "preact",
        legalComments: "none",
        logLevel: "warning",
    });
    return result.outputFiles.map((file) => ({ ending: extname(file.path), bytes: Buffer.from(file.contents) }));
}

async function make_assets() {
    const parts = [...(await bundle()), { ending: ".svg", bytes: readFileSync(join(here, "src/icon.svg")) }];
    const names = {};
    const assets = parts.map(({ ending, bytes }) => {
        const path = `/${ending === ".svg" ? "icon" : "page"}-${hash(bytes)}${ending}`;
        names[ending] = path;
        return { path, file: path.slice(1), bytes, immutable: true };
    });
    const index = readFileSync(join(here, "src/index.html"), "utf8")
        .replace("{{icon}}", names[".svg"])
        .replace("{{style}}", names[".css"])
        .replace("{{script}}", names[".js"]);
    assets.unshift({ path: "/", file: "index.html", bytes: Buffer.from(index), immutable: false });
    for (const asset of assets) {
        const packed = gzipSync(asset.bytes, { level: constants.Z_BEST_COMPRESSION });
        asset.gzip = packed.length < asset.bytes.length ? packed : Buffer.alloc(0);
        asset.type = kTypes[extname(asset.file)];
    }
    return assets;
}

function array_of(name, bytes) {
    if (bytes.length === 0) return "";
    const rows = [];
    for (let at = 0; at < bytes.length; at += 32) rows.push([...bytes.subarray(at, at + 32)].join(","));
    return `constexpr unsigned char ${name}[] = {\n${rows.join(",\n")}};\n`;
}

function cpp_of(assets) {
    const arrays = assets.map((asset, i) => array_of(`kPlain${i}`, asset.bytes) + array_of(`kGzip${i}`, asset.gzip));
    const entries = assets.map((asset, i) => {
        const gzip = asset.gzip.length > 0 ? `kGzip${i}` : "{}";
        return `    Asset{"${asset.path}", "${asset.type}", "${hash(asset.bytes)}", kPlain${i}, ${gzip}, ${asset.immutable}},`;
    });
    return `// Made by web/page/build.mjs; do not edit.
#include "web/assets.hpp"

namespace drumwatch {
namespace {
${arrays.join("")}
constexpr Asset kAssets[] = {
${entries.join("\n")}
};
}  // namespace

std::span<const Asset> page_assets() { return kAssets; }

}  // namespace drumwatch
`;
}

const assets = await make_assets();
rmSync(values.out, { recursive: true, force: true });
mkdirSync(values.out, { recursive: true });
for (const asset of assets) writeFileSync(join(values.out, asset.file), asset.bytes);
if (values.cpp) writeFileSync(values.cpp, cpp_of(assets));
for (const asset of assets) console.log(`${asset.path}  ${asset.bytes.length} bytes, ${asset.gzip.length} packed`);

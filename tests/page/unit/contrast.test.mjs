// Contrast of the style sheet's colours, computed as WCAG 2.2 defines it (relative luminance, contrast ratio).
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { kPageDir } from "../support/browser.mjs";

const css = readFileSync(join(kPageDir, "src/style/tokens.css"), "utf8");
const block = (selector) => {
    const found = css.match(new RegExp(`${selector.replace(/[[\]()"]/g, "\\$&")} \\{([^}]*)\\}`));
    return Object.fromEntries([...found[1].matchAll(/--([a-z-]+): (#[0-9a-f]{6});/g)].map((each) => [each[1], each[2]]));
};
const light = block(":root");
const dark = { ...light, ...block(':root[data-theme="dark"]') };

function luminance(colour) {
    const [r, g, b] = [1, 3, 5]
        .map((at) => Number.parseInt(colour.slice(at, at + 2), 16) / 255)
        .map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));
    return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}

function contrast(a, b) {
    const [high, low] = [luminance(a), luminance(b)].sort((x, y) => y - x);
    return (high + 0.05) / (low + 0.05);
}

test("the formula gives the ratios that are published", () => {
    // WCAG 2.2: black on white is 21:1. #767676 on white is the well-known edge of 4.5:1 (4.54; common knowledge, no source).
    assert.equal(contrast("#000000", "#ffffff"), 21);
    assert.ok(Math.abs(contrast("#767676", "#ffffff") - 4.54) < 0.01);
});

for (const [name, theme] of [["light", light], ["dark", dark]]) {
    test(`text reaches 4.5 to 1 on ${name} paper`, () => {
        assert.ok(contrast(theme.ink, theme.paper) >= 7);
        assert.ok(contrast(theme.quiet, theme.paper) >= 4.5);
        assert.ok(contrast(theme.quiet, theme.band) >= 4.5);
        assert.ok(contrast(theme.ink, theme.fan) >= 4.5);
    });
    test(`edges that mean something reach 3 to 1 on ${name} paper`, () => {
        // WCAG 2.2, 1.4.11: corridor edges, button edges, the now line.
        assert.ok(contrast(theme.edge, theme.paper) >= 3, String(contrast(theme.edge, theme.paper)));
    });
    test(`black text on each alarm colour reaches 4.5 to 1, ${name}`, () => {
        for (const priority of ["high", "medium", "low"]) assert.ok(contrast(theme["on-alarm"], theme[priority]) >= 4.5);
    });
}

test("on dark paper alarm panels stand out without their black outline", () => {
    for (const priority of ["high", "medium", "low"]) assert.ok(contrast(dark[priority], dark.paper) >= 3);
});

test("alarm colours are those of the Okabe-Ito set", () => {
    // M. Okabe, K. Ito, Color Universal Design: vermillion, yellow, sky blue.
    assert.deepEqual([light.high, light.medium, light.low], ["#d55e00", "#f0e442", "#56b4e9"]);
});

test("nothing but alarms and black and white is coloured in the other style sheets", () => {
    for (const name of ["layout", "parts", "alarms", "aside", "between", "plots", "small"]) {
        const text = readFileSync(join(kPageDir, `src/style/${name}.css`), "utf8");
        const colours = [...text.matchAll(/#[0-9a-fA-F]{3,8}\b/g)].map((each) => each[0]);
        assert.deepEqual(colours.filter((colour) => !["#000", "#fff"].includes(colour)), [], name);
        for (const rule of text.matchAll(/([^{}]+)\{[^}]*var\(--(?:high|medium|low)\)/g))
            assert.match(rule[1], /\.alarm|\.no-live-data/);
    }
});

test("paper and ink have next to no hue", () => {
    for (const theme of [light, dark])
        for (const name of ["paper", "ink", "quiet", "line", "edge", "band", "fan"]) {
            const parts = [1, 3, 5].map((at) => Number.parseInt(theme[name].slice(at, at + 2), 16));
            assert.ok(Math.max(...parts) - Math.min(...parts) <= 14, name);
        }
});

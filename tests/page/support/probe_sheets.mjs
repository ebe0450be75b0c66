// The sheets about probes and how a hand gets there: name -> [state of the station, what is done].
import { kKnown } from "./scripted_probes.mjs";

const tap = (name) => (page) => page.getByRole("button", { name }).first().click();
const go = (name) => (page) => page.getByRole("dialog").getByRole("button", { name }).last().click();
const fill = (label, text) => (page) => page.getByRole("dialog").getByLabel(label).fill(text);
const then = (...acts) => async (page, station) => {
    for (const act of acts) await act(page, station);
};
/** The station answers so from now on. */
const answers = (status, body) => (_page, station) => {
    station.answer = () => ({ status, body });
};

export const open_probes = then(tap("settings"), go("probes…"), (page) => page.locator(".of-probes table").waitFor());
const one = (name) => then(open_probes, go(name), (page) => page.locator(".live-reading").waitFor());
const checking = (method) => then(one(/^bean$|^bean\s›/), go("check it…"), go(method));
const taking = (method) => then(checking(method), go("it is in: next"));
const taken = then(
    taking(/^ice point/),
    fill("your name", "Ines"),
    answers(200, { recorded: true, text: "It shows 0.4 °C where 0.0 °C is true: 0.4 too high." }),
    (_page, station) => {
        station.state.probes = { bean: { ...kKnown.bean, last_check: { ...kKnown.bean.last_check, at: "2026-11-25T10:48:00.000Z", who: "Ines", method: "ice_point", reads_c: 0, is_c: 0 } } };
    },
    go("take this check"),
    (page) => page.locator(".do-first").waitFor(),
);
const refused = then(
    taking(/^ice point/),
    fill("your name", "Ines"),
    answers(409, { detail: "bean is not steady: 18.2 to 23.9 °C in the last 20 s, and 1.0 °C is allowed. Stir, keep the tip off the wall, wait." }),
    go("take this check"),
    (page) => page.locator("dialog .said", { hasText: "Not done: bean is not" }).waitFor(),
    (page) => {
        page.problems = page.problems.filter((each) => !each.includes("409 (Conflict)")); // the browser tells of it too
    },
);
const correcting = then(one(/^bean\s›/), go("correct it…"));

export const kProbeSheets = {
    probes: ["probes_cold", open_probes],
    probes_fine: ["probes_fine", open_probes],
    probes_roasting: ["roasting", one(/^bean\s›/)],
    probe: ["probes_fine", one(/^exhaust\s›/)],
    which: ["probes_cold", then(open_probes, go("which is which"))],
    check: ["probes_fine", then(one(/^bean\s›/), go("check it…"))],
    check_ice: ["probes_fine", checking(/^ice point/)],
    check_boiling: ["probes_moving", checking(/^boiling point/)],
    check_boiling_take: ["probes_moving", taking(/^boiling point/)],
    check_comparison: ["probes_fine", checking(/^comparison/)],
    check_comparison_take: ["probes_fine", taking(/^comparison/)],
    check_refused: ["probes_moving", refused],
    check_taken: ["probes_fine", taken],
    correction: ["probes_fine", correcting],
    correction_wrong: ["probes_fine", then(correcting, go("add a point"), fill("3: it reads, °C uncorrected", "151"), (page) => page.getByRole("dialog").getByLabel("true is, °C").last().fill("165"))],
    correction_sure: ["probes_fine", then(correcting, go("clear all"), go("what will change?"))],
    changed: ["probes_fine", then(one(/^bean\s›/), go(/^it was wiped/), go("wiped"))],
    probe_at_fault: ["probes_cold", one(/^inlet\s›/)],
    confirm: ["to_confirm", tap("still holds…")],
};

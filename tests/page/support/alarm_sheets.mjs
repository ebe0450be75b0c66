// The sheets about alarms and how a hand gets there: name -> [state of the station, what is done].
const tap = (name) => (page) => page.getByRole("button", { name }).first().click();
const go = (name) => (page) => page.getByRole("dialog").getByRole("button", { name }).last().click();
const fill = (label, text) => (page) => page.getByRole("dialog").getByLabel(label).fill(text);
const then = (...acts) => async (page) => {
    for (const act of acts) await act(page);
};
const detail = (page) => page.locator(".corner .alarm-open").click();
const figures = then(tap("alarms…"), go("figures"), (page) => page.locator(".summary").waitFor());
const sounders = tap(/sounder 2 failed/);
const loudness = then(sounders, go(/check the loudness/));
const measured = then(loudness, go("next"), fill("noise, dB(A)", "74"), go("next"), fill("with the sounder, dB(A)", "86"), go("next"));

export const kAlarmSheets = {
    none: ["roasting", tap("alarms…")],
    several: ["two_alarms", tap(/2 more/)],
    high: ["two_alarms", detail],
    medium: ["drift", detail],
    low: ["low_alarm", detail],
    returned: ["drift_returned", detail],
    latched: ["latched", detail],
    shelving: ["drift", then(detail, go(/^shelve for a while/), go("trial roast"))],
    taking_out: ["drift", then(detail, go(/^take out of service/))],
    aside: ["put_aside_between", then(tap(/3 put aside/), go("put aside 3"), (page) => page.locator(".aside-row").first().waitFor())],
    marks: ["all_at_once", tap(/3 put aside/)],
    flood: ["flood", tap(/^flood of alarms/)],
    flood_open: ["flood", then(tap(/^flood of alarms/), go(/^show 8 lower/))],
    figures: ["ready", figures],
    figures_days: ["ready", then(figures, go("by day"))],
    figures_roasts: ["ready", then(figures, go("by roast"))],
    figures_rules: ["ready", then(figures, go("by rule"))],
    care: ["care_due", tap(/^2 due: /)],
    sounders: ["sounder_failed", sounders],
    loudness: ["sounder_failed", loudness],
    loudness_test: ["sounder_failed", measured],
    loudness_result: ["sounder_failed", then(measured, go("yes, all"), go("what came of it"))],
};

// What this tablet remembers; nothing of it changes what the daemon does. And the way to the probes.
import type { Theme } from "../logic/settings";
import type { Scale } from "../logic/units";
import type { Part } from "./Dialogs";
import { type Choice, Choices } from "./fields";
import { Sheet } from "./Sheet";

const kScales: Choice<Scale>[] = [
    { value: "c", words: "°C" },
    { value: "f", words: "°F" },
];
const kThemes: Choice<Theme>[] = [
    { value: "auto", words: "as the tablet" },
    { value: "light", words: "light" },
    { value: "dark", words: "dark" },
];
const kViews: Choice<boolean>[] = [
    { value: false, words: "everything" },
    { value: true, words: "from afar" },
];

export function SettingsDialog({ model }: Part) {
    const { scale, theme, wall } = model.settings;
    const sound = model.sound.state();
    return (
        <Sheet model={model} title="Settings of this tablet">
            <Choices
                label="temperature"
                now={scale}
                choices={kScales}
                choose={(value) => model.change({ scale: value })}
            />
            <Choices label="paper" now={theme} choices={kThemes} choose={(value) => model.change({ theme: value })} />
            <Choices label="view" now={wall} choices={kViews} choose={(value) => model.change({ wall: value })} />
            <fieldset>
                <legend>sound of this tablet: {sound}</legend>
                <button type="button" class="plain" onClick={() => void model.sound.arm().then(model.redraw)}>
                    {sound === "armed" ? "test sound" : "tap to arm sound"}
                </button>
            </fieldset>
            <fieldset>
                <legend>this station</legend>
                <button type="button" class="plain" onClick={() => model.show("probes")}>
                    probes…
                </button>
            </fieldset>
            {scale === "f" && <p class="small">Sentences that come from the daemon stay in °C.</p>}
            <p class="small">The station's own sounder is the one to rely on. {model.sleep_note}</p>
        </Sheet>
    );
}

// Start-up: one model, one tree, redrawn at most once a frame. A hidden page draws nothing and holds no stream.
import { render } from "preact";
import { Model } from "./model";
import { App } from "./parts/App";
import "./style/page.css";
import { keep_screen_on } from "./wake";

const model = new Model();
const root = document.getElementById("page") as HTMLElement;
const dark = window.matchMedia("(prefers-color-scheme: dark)");
let frame = 0;

function draw(): void {
    frame = 0;
    const { theme, wall } = model.settings;
    document.documentElement.dataset.theme = theme === "auto" ? (dark.matches ? "dark" : "light") : theme;
    document.documentElement.dataset.view = wall ? "wall" : "all";
    render(<App model={model} />, root);
}

function redraw(): void {
    if (frame === 0 && !document.hidden) frame = window.requestAnimationFrame(draw);
}

async function seen(): Promise<void> {
    if (document.hidden) {
        model.link.stop();
        return;
    }
    model.link.start();
    redraw();
    model.sleep_note = await keep_screen_on();
}

model.redraw = redraw;
dark.addEventListener("change", redraw);
document.addEventListener("visibilitychange", () => void seen());
window.setInterval(() => {
    if (!document.hidden) model.beat();
}, 250);
draw();
void seen();

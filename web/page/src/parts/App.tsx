// The whole page: four questions in reading order, one corner for what is wrong, one button for the hand.
import { needs_hand } from "../logic/alarms";
import { choose_view } from "../logic/view";
import type { Model } from "../model";
import { AlarmCorner, needs_width } from "./AlarmCorner";
import { Batches, Plan } from "./Between";
import { Companion } from "./Companion";
import { DeviationPlot } from "./DeviationPlot";
import { Dialogs } from "./Dialogs";
import { Header } from "./Header";
import { LeftDropped, LeftJudged, LeftPlain, LeftReady } from "./Left";
import { MarkCorner } from "./MarkCorner";
import { Right } from "./Right";

export function App(props: { model: Model }) {
    const { model } = props;
    const status = model.status();
    if (!status) return <Waiting />;
    const view = choose_view(status);
    const wide = needs_width(status);
    const calling = status.alarms.some(needs_hand);
    const alarmed = `${status.alarms.length > 0 ? " alarms" : ""}${wide ? " alarmed" : ""}${calling ? " calling" : ""}`;
    const part = { model, status };
    const in_drum = view === "judged" || view === "plain";
    return (
        <div class={`page view-${view}${in_drum ? " in-drum" : ""}${alarmed}${model.live() ? "" : " lost"}`}>
            <Header {...part} />
            <main>
                <section class="left" aria-label="where the roast stands">
                    {view === "judged" && <LeftJudged {...part} />}
                    {view === "plain" && <LeftPlain {...part} />}
                    {view === "dropped" && <LeftDropped {...part} />}
                    {view === "between" && <LeftReady {...part} />}
                </section>
                <section class="middle" aria-label="how it came and where it may go">
                    {view === "judged" && <DeviationPlot {...part} />}
                    {view === "plain" && <Companion {...part} />}
                    {!in_drum && <Plan {...part} />}
                </section>
                <section class="right" aria-label="what comes next">
                    <Right {...part} />
                </section>
                <AlarmCorner {...part} wide={wide} />
                <section class="below" aria-label="the whole">
                    {view === "judged" && <Companion {...part} small />}
                    {!in_drum && <Batches {...part} />}
                </section>
                <section class="corner-mark" aria-label="what to do with the hand">
                    <MarkCorner {...part} />
                </section>
            </main>
            <p class="notice" role="status">
                {model.notice}
            </p>
            <Dialogs {...part} />
        </div>
    );
}

function Waiting() {
    return (
        <main class="waiting">
            <h1>Drumwatch</h1>
            <p role="status">No live data yet: waiting for the daemon.</p>
            <p>Watches only: no safety device.</p>
        </main>
    );
}

// Where, what and when; in its place, when the daemon is not heard, the words that outrank everything else.
import type { Status } from "../logic/api";
import { age_words, clock_time } from "../logic/words";
import type { Model } from "../model";

export function Header(props: { model: Model; status: Status }) {
    const { model, status } = props;
    const target = status.target;
    const charge = target?.charge_kg ? ` · ${target.charge_kg.toFixed(1)} kg` : "";
    const trial = target && target.status !== "approved" ? ` (${target.status})` : "";
    return (
        <header>
            <h1>{status.station}</h1>
            {model.live() ? (
                <p class="batch">
                    {status.simulated && "simulated · "}
                    {target
                        ? `${target.coffee || target.name}${charge} · version ${target.version}${trial}`
                        : "no target"}
                </p>
            ) : (
                <p class="no-live-data" role="alert">
                    <svg class="shape" viewBox="0 0 44 44" aria-hidden="true">
                        <path d="M13 3h18l10 10v18l-10 10H13L3 31V13Z" class="shape-fill" />
                        <path d="M14 14L30 30M30 14L14 30" class="shape-cross" />
                    </svg>
                    NO LIVE DATA for {age_words((model.link.age_ms() ?? 0) / 1000)}
                </p>
            )}
            <button type="button" class="plain settings" onClick={() => model.show("settings")}>
                settings
            </button>
            <span class="clock">{model.live() ? clock_time(status.utc) : "–"}</span>
        </header>
    );
}

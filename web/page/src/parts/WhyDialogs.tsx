// One tap from each number: why it is so, in words.
import { corridor_from } from "../logic/corridor";
import { trigger_words } from "../logic/plan";
import { span_to_scale, to_scale, unit_symbol } from "../logic/units";
import {
    bean_sentence,
    burner_sentence,
    drop_sentence,
    fan_sentence,
    leaving_sentence,
    milestone_sentences,
    move_sentence,
} from "../logic/why";
import { level_words, minutes_seconds, plain, unbroken } from "../logic/words";
import type { Part } from "./Dialogs";
import { Sheet } from "./Sheet";

export function WhyDeviation({ model, status }: Part) {
    const scale = model.settings.scale;
    const unit = unit_symbol(scale);
    const target = status.target;
    const temperature = (c: number | null | undefined) =>
        c === null || c === undefined ? "–" : `${plain(to_scale(c, scale))} ${unit}`;
    const span = (c: number | null | undefined) =>
        c === null || c === undefined ? "–" : `${plain(span_to_scale(Math.abs(c), scale))} ${unit}`;
    const rise = target?.rise_deviation_per_min;
    const tolerance = model.target?.tolerance;
    return (
        <Sheet model={model} title="Why this deviation">
            <p>
                The bean reads {temperature(status.channels.bean?.value)}; at {minutes_seconds(status.roast?.elapsed_s)}{" "}
                since charge the target had {temperature(target?.bean_c)}.
            </p>
            {rise !== null && rise !== undefined && (
                <p>
                    It rises {span(rise)} a minute {rise >= 0 ? "faster" : "slower"} than the target.
                </p>
            )}
            {burner_sentence(target) && <p>{unbroken(burner_sentence(target))}</p>}
            {fan_sentence(status.fan ?? [], scale) && <p>{unbroken(fan_sentence(status.fan ?? [], scale))}</p>}
            {leaving_sentence(target) && <p>{unbroken(leaving_sentence(target))}</p>}
            <p>
                The corridor is now ±{span(target?.corridor_c)}: the larger of {span(tolerance?.bean_c ?? 1.1)} and what
                the target itself rises in {tolerance?.rise_s ?? 5} s. It is judged from{" "}
                {minutes_seconds(corridor_from(model.target))} after charge; outside counts after{" "}
                {tolerance?.outside_s ?? 15} s on end.
            </p>
            <p>{target ? `${target.name}, version ${target.version}, ${target.status}.` : ""}</p>
        </Sheet>
    );
}

export function WhyForecast({ model, status }: Part) {
    const scale = model.settings.scale;
    const crack = status.forecast?.first_crack;
    return (
        <Sheet model={model} title="Why this forecast">
            {crack ? (
                <>
                    <p>
                        First crack at {minutes_seconds(crack.at_s)} since charge. 8 times in 10 the mark falls between{" "}
                        {minutes_seconds(crack.low_s)} and {minutes_seconds(crack.high_s)}.
                    </p>
                    {crack.crack_c !== undefined && (
                        <p>
                            It counts on first crack at {plain(to_scale(crack.crack_c, scale))} {unit_symbol(scale)}
                            {crack.crack_spread_c !== undefined &&
                                ` (spread ${plain(span_to_scale(crack.crack_spread_c, scale))} ${unit_symbol(scale)})`}
                            , {crack.from_target ? "taken from the target" : "not taken from the target"}.
                        </p>
                    )}
                    <p>It follows how the rise itself falls, not a straight line.</p>
                </>
            ) : (
                <p>{status.no_forecast ?? "There is no forecast yet."}</p>
            )}
        </Sheet>
    );
}

/** Bean, rise, time since charge and since first crack: what they are counted from. */
export function WhyMilestones({ model, status }: Part) {
    const scale = model.settings.scale;
    return (
        <Sheet model={model} title="What these numbers are counted from">
            <p>{unbroken(bean_sentence(status, scale))}</p>
            <p>The rise is the slope of its last 10 s, so it is some 5 s behind.</p>
            {milestone_sentences(status, scale).map((sentence) => (
                <p key={sentence}>{unbroken(sentence)}</p>
            ))}
            {status.roast?.time_lost && <p>The box was off for an unknown time: times are at least so long.</p>}
        </Sheet>
    );
}

export function WhyMove({ model, status }: Part) {
    const move = status.next_move;
    const within = model.target?.tolerance?.move_s ?? 10;
    return (
        <Sheet model={model} title="Why this move">
            <p>
                {move
                    ? unbroken(
                          `The plan of ${status.target?.name ?? "the target"} has ${move.control.replaceAll("_", " ")} to ` +
                              `${level_words(move.to, move.unit)} ${trigger_words(move.when, model.settings.scale)}.`,
                      )
                    : "All planned moves are made, or their time has passed."}
            </p>
            <p>Up to {within} s early or late is on time.</p>
            <ul>
                {(status.moves ?? []).map((each) => (
                    <li key={move_sentence(each)}>{unbroken(move_sentence(each))}</li>
                ))}
            </ul>
        </Sheet>
    );
}

export function WhyDrop({ model, status }: Part) {
    return (
        <Sheet model={model} title="Why this drop">
            <p>{unbroken(drop_sentence(status, model.target?.drop, model.settings.scale))}</p>
        </Sheet>
    );
}

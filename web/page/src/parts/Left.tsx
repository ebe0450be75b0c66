// The first question: how far off. Without a target the bean's temperature; after drop the verdict; between roasts
// what is missing before the next charge.
import type { Status } from "../logic/api";
import { corridor_from } from "../logic/corridor";
import { inside_since_s } from "../logic/history";
import { type Scale, span_to_scale, to_scale, unit_symbol } from "../logic/units";
import {
    ahead_words,
    kDash,
    kVerdictMeaning,
    minutes_seconds,
    plain,
    quality_words,
    signed,
    unbroken,
} from "../logic/words";
import type { Model } from "../model";
import { Glance, use_fit } from "./common";

interface Part {
    model: Model;
    status: Status;
}

/** Where the roast stands to the corridor, as a sentence. */
export function corridor_sentence({ model, status }: Part): string {
    const target = status.target;
    const roast = status.roast;
    if (!model.live()) return "nothing is judged here";
    if (!target || !roast) return "";
    if (roast.time_lost) return "not judged: the box was off, for how long is not known";
    if (target.deviation_c === null) {
        const bean = status.channels.bean;
        if (bean && bean.value === null) return `no bean reading for ${minutes_seconds(bean.age_s)}`;
        return `corridor from ${minutes_seconds(corridor_from(model.target))}`;
    }
    if (!target.judged_now) {
        const from = corridor_from(model.target);
        return roast.elapsed_s < from ? `corridor from ${minutes_seconds(from)}` : "no longer judged";
    }
    if (target.outside || (target.outside_for_s ?? 0) > 0)
        return `outside the corridor for ${minutes_seconds(target.outside_for_s ?? 0)}`;
    if (target.leaves_in_s !== null && target.leaves_in_s !== undefined)
        return `inside, out in about ${minutes_seconds(target.leaves_in_s)}`;
    const now = model.now_ms();
    const begin = now - (roast.elapsed_s - corridor_from(model.target)) * 1000;
    const since = inside_since_s(model.history.since(begin), now, begin);
    return `inside the corridor for ${minutes_seconds(since)}`;
}

/** In the place of ahead and behind: why there is no number. */
function missing_words({ model, status }: Part): string {
    const bean = status.channels.bean;
    if (!model.live()) return "no live data";
    return bean && bean.value === null ? quality_words(bean.quality) : kDash;
}

export function LeftJudged(part: Part) {
    const { model, status } = part;
    const scale = model.settings.scale;
    const target = status.target;
    const deviation = target?.deviation_c ?? null;
    const ahead = ahead_words(target?.ahead_s);
    const number = signed(deviation === null ? null : span_to_scale(deviation, scale));
    return (
        <>
            <Glance label="why this deviation" class="deviation" onTap={() => model.show("deviation")}>
                <span class="label">off the target, in {unit_symbol(scale)}</span>
                <span class="huge-row">
                    <span class={`huge${target?.judged_now ? "" : " quiet"}`} data-glance="deviation">
                        {number}
                    </span>
                </span>
                <span class="ahead" data-glance="ahead">
                    <span class="ahead-word">{ahead?.word ?? missing_words(part)}</span>
                    <span class="ahead-number">{ahead?.number ?? ""}</span>
                    <span class="ahead-unit">{ahead?.unit ?? ""}</span>
                </span>
                <span class="sentence">{corridor_sentence(part)}</span>
            </Glance>
            <Facts {...part} />
        </>
    );
}

function rise_words(rise: number | null, scale: Scale): string {
    const shown = rise === null ? null : span_to_scale(rise, scale);
    return plain(shown, shown !== null && Math.abs(shown) >= 100 ? 0 : 1);
}

/** Bean, rise and time since charge under the deviation. */
function Facts({ model, status }: Part) {
    const scale = model.settings.scale;
    const bean = status.channels.bean;
    const value = bean?.value ?? null;
    const rise = bean?.rise_per_min ?? null;
    return (
        <Glance class="facts" label="what these numbers are counted from" onTap={() => model.show("milestones")}>
            <span class="fact bean">
                <span class="fact-name">bean</span>
                <span class="fact-value">
                    <span class="big" data-glance="bean">
                        {plain(value === null ? null : to_scale(value, scale))}
                    </span>
                    <span class="unit">
                        {bean && value === null && model.live() ? quality_words(bean.quality) : unit_symbol(scale)}
                    </span>
                </span>
            </span>
            <span class="fact">
                <span class="fact-name">rise, {unit_symbol(scale)}/min</span>
                <span class="fact-value">
                    <span class="middling">{rise_words(rise, scale)}</span>
                </span>
            </span>
            <span class="fact">
                <span class="fact-name">since charge{status.roast?.time_lost ? ", at least" : ""}</span>
                <span class="fact-value">
                    <span class="middling">{minutes_seconds(status.roast?.elapsed_s)}</span>
                </span>
            </span>
        </Glance>
    );
}

export function LeftPlain({ model, status }: Part) {
    const scale = model.settings.scale;
    const bean = status.channels.bean;
    const value = bean?.value ?? null;
    const rise = bean?.rise_per_min ?? null;
    return (
        <>
            <div class="deviation">
                <span class="label">bean, in {unit_symbol(scale)}</span>
                <span class="huge-row">
                    <span class="huge" data-glance="bean">
                        {plain(value === null ? null : to_scale(value, scale))}
                    </span>
                </span>
                <span class="ahead">
                    {value === null ? (
                        <span class="ahead-word">{missing_words({ model, status })}</span>
                    ) : (
                        <>
                            <span class="ahead-number">
                                {signed(rise === null ? null : span_to_scale(rise, scale))}
                            </span>
                            <span class="ahead-unit">{unit_symbol(scale)}/min</span>
                        </>
                    )}
                </span>
                <span class="sentence">no target: nothing is judged</span>
            </div>
            <dl class="facts">
                <div class="fact bean">
                    <dt>since charge{status.roast?.time_lost ? ", at least" : ""}</dt>
                    <dd>
                        <span class="big">{minutes_seconds(status.roast?.elapsed_s)}</span>
                    </dd>
                </div>
            </dl>
        </>
    );
}

const kRoomOfWord = 7; // letters at the full size

export function LeftDropped({ model, status }: Part) {
    const verdict = status.last_verdict;
    if (!verdict) return null;
    return (
        <>
            <Glance label="all reasons, and weight" class="deviation" onTap={() => model.show_verdict(verdict.roast)}>
                <span class="label">
                    roast {verdict.roast}, dropped after {minutes_seconds(verdict.roast_s)}
                </span>
                <span class={verdict.disposition.length > kRoomOfWord ? "verdict-word long" : "verdict-word"}>
                    {verdict.disposition}
                </span>
                <span class="sentence">{kVerdictMeaning[verdict.disposition]}</span>
            </Glance>
            <Reasons
                texts={[
                    ...verdict.reasons.slice(0, 3).map((reason) => reason.text),
                    ...(verdict.reasons.length > 3
                        ? [`and ${verdict.reasons.length - 3} more: tap “${verdict.disposition}”`]
                        : []),
                ]}
            />
        </>
    );
}

/** As large as the place allows. */
function Reasons({ texts }: { texts: string[] }) {
    const fit = use_fit<HTMLUListElement>(texts.join());
    return (
        <ul class="reasons" ref={fit}>
            {texts.map((text) => (
                <li key={text}>{unbroken(text)}</li>
            ))}
        </ul>
    );
}

export function LeftReady({ model, status }: Part) {
    const scale = model.settings.scale;
    const { to_charge, missing } = status.ready;
    const bean = status.channels.bean;
    const value = bean?.value ?? null;
    return (
        <>
            <div class="deviation">
                <span class="label">ready to charge?</span>
                <span class="verdict-word">{to_charge ? "ready" : "not yet"}</span>
            </div>
            <Reasons texts={missing} />
            <dl class="facts">
                <div class="fact bean">
                    <dt>bean probe</dt>
                    <dd>
                        <span class="big" data-glance="bean">
                            {plain(value === null ? null : to_scale(value, scale))}
                        </span>
                        <span class="unit">
                            {bean && value === null && model.live() ? quality_words(bean.quality) : unit_symbol(scale)}
                        </span>
                    </dd>
                </div>
            </dl>
        </>
    );
}

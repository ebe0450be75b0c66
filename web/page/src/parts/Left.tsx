// The first question: how far off. Without a target the bean's temperature; after drop the verdict; between roasts
// what is missing before the next charge.
import type { Status } from "../logic/api";
import { corridor_from } from "../logic/corridor";
import { inside_since_s } from "../logic/history";
import { type Scale, span_to_scale, to_scale, unit_symbol } from "../logic/units";
import { ahead_words, kDash, kVerdictMeaning, minutes_seconds, plain, quality_words, signed } from "../logic/words";
import type { Model } from "../model";
import { Glance } from "./common";

interface Part {
    model: Model;
    status: Status;
}

/** Where the roast stands to the corridor, as a sentence. */
export function corridor_sentence({ model, status }: Part): string {
    const target = status.target;
    const roast = status.roast;
    if (!model.live()) return "no live data: nothing is judged here";
    if (!target || !roast) return "";
    if (target.deviation_c === null) {
        const bean = status.channels.bean;
        if (bean && bean.value === null)
            return `bean ${quality_words(bean.quality)} for ${minutes_seconds(bean.age_s)}`;
        return `corridor from ${minutes_seconds(corridor_from(model.target))}`;
    }
    const scale = model.settings.scale;
    const width = `±${plain(span_to_scale(target.corridor_c ?? 0, scale))} ${unit_symbol(scale)}`;
    if (!target.judged_now) {
        const from = corridor_from(model.target);
        return roast.elapsed_s < from ? `corridor from ${minutes_seconds(from)}` : `no longer judged (${width})`;
    }
    if (target.outside || (target.outside_for_s ?? 0) > 0)
        return `outside the corridor for ${minutes_seconds(target.outside_for_s ?? 0)} (${width})`;
    if (target.leaves_in_s !== null && target.leaves_in_s !== undefined)
        return `inside, leaving it in about ${minutes_seconds(target.leaves_in_s)} (${width})`;
    const now = model.now_ms();
    const begin = now - (roast.elapsed_s - corridor_from(model.target)) * 1000;
    const since = inside_since_s(model.history.since(begin), now, begin);
    return `inside the corridor for ${minutes_seconds(since)} (${width})`;
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
                    <span class="ahead-number">{ahead?.number ?? kDash}</span>
                    <span class="ahead-word">{ahead?.word ?? ""}</span>
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
        <dl class="facts">
            <div class="fact bean">
                <dt>bean</dt>
                <dd>
                    <span class="big" data-glance="bean">
                        {plain(value === null ? null : to_scale(value, scale))}
                    </span>
                    <span class="unit">
                        {bean && value === null && model.live() ? quality_words(bean.quality) : unit_symbol(scale)}
                    </span>
                </dd>
            </div>
            <div class="fact">
                <dt>rise</dt>
                <dd>
                    <span class="middling rise">{rise_words(rise, scale)}</span>
                    <span class="unit">{unit_symbol(scale)}/min</span>
                </dd>
            </div>
            <div class="fact">
                <dt>since charge</dt>
                <dd>
                    <span class="middling">{minutes_seconds(status.roast?.elapsed_s)}</span>
                </dd>
            </div>
        </dl>
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
                    <span class="ahead-number">{signed(rise === null ? null : span_to_scale(rise, scale))}</span>
                    <span class="ahead-word">{unit_symbol(scale)}/min</span>
                </span>
                <span class="sentence">
                    {value === null && bean && model.live()
                        ? `bean ${quality_words(bean.quality)}`
                        : "no target: nothing is judged"}
                </span>
            </div>
            <dl class="facts">
                <div class="fact bean">
                    <dt>since charge</dt>
                    <dd>
                        <span class="big">{minutes_seconds(status.roast?.elapsed_s)}</span>
                    </dd>
                </div>
            </dl>
        </>
    );
}

export function LeftDropped({ model, status }: Part) {
    const verdict = status.last_verdict;
    if (!verdict) return null;
    return (
        <>
            <Glance label="all reasons" class="deviation" onTap={() => model.show("verdict")}>
                <span class="label">
                    roast {verdict.roast}, {minutes_seconds(verdict.roast_s)} from charge to drop
                </span>
                <span class="verdict-word">{verdict.disposition}</span>
                <span class="sentence">{kVerdictMeaning[verdict.disposition]}</span>
            </Glance>
            <ul class="reasons">
                {verdict.reasons.slice(0, 3).map((reason) => (
                    <li key={reason.text}>{reason.text}</li>
                ))}
                {verdict.reasons.length > 3 && <li>… {verdict.reasons.length - 3} more</li>}
            </ul>
            <Ready {...{ model, status }} />
        </>
    );
}

function Ready({ status }: Part) {
    const ready = status.ready;
    return (
        <p class="ready-line">
            <strong>{ready.to_charge ? "Ready to charge." : "Not ready to charge:"}</strong>{" "}
            {ready.to_charge ? "" : ready.missing.join("; ")}
        </p>
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
            <ul class="reasons">
                {missing.map((text) => (
                    <li key={text}>{text}</li>
                ))}
            </ul>
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

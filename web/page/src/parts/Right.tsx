// The third question: what next. The next move with its countdown, first crack with its spread and what the spread
// means, the drop; the batch in the tray keeps its small place. While a safety-relevant alarm is active nothing is
// prompted here and the site's own card stands in its place.
import type { Status } from "../logic/api";
import { interval_from_now, trigger_words } from "../logic/plan";
import { to_scale, unit_symbol } from "../logic/units";
import { choose_view, moves_by_hand } from "../logic/view";
import { countdown, kDash, level_words, minutes_seconds, plain, unbroken } from "../logic/words";
import type { Model } from "../model";
import { Glance } from "./common";

interface Part {
    model: Model;
    status: Status;
}

export function Right(part: Part) {
    const { status } = part;
    if (status.prompts_withheld) return <SiteCard status={status} />;
    if (!status.roast)
        return (
            <>
                <ChargePlace {...part} />
                {choose_view(status) === "dropped" && <Ready status={status} />}
                <Tray {...part} />
            </>
        );
    return (
        <>
            {status.target && <NextMove {...part} />}
            <FirstCrack {...part} />
            <DropPlace {...part} />
            <Tray {...part} small />
        </>
    );
}

function SiteCard({ status }: { status: Status }) {
    return (
        <div class="next-block site-card">
            <h2>site card</h2>
            <p>
                {unbroken(
                    status.site_card ||
                        "No card is set for this station. Follow the machine's manual and the site's plan.",
                )}
            </p>
            <p class="small">Moves and drop are not prompted while this alarm is active.</p>
        </div>
    );
}

const kRoomOfValue = 8;

/** A value's class: what is too long for the column is set smaller. */
function value_class(text: string, firm = false): string {
    return `value${firm ? " firm" : ""}${text.length > kRoomOfValue ? " long" : ""}`;
}

function ChargePlace({ model, status }: Part) {
    const scale = model.settings.scale;
    const charge_c = status.ready.charge_c;
    if (charge_c === null || charge_c === undefined) return null;
    const charge_kg = status.target?.charge_kg;
    return (
        <div class="next-block">
            <h2>charge at</h2>
            <p class="value firm">
                {plain(to_scale(charge_c, scale), 0)} {unit_symbol(scale)}
            </p>
            {charge_kg ? <p class="small">with {charge_kg.toFixed(1)} kg</p> : null}
        </div>
    );
}

/** While the verdict has the first place, what the next charge waits for stands here. */
function Ready({ status }: { status: Status }) {
    const { to_charge, missing } = status.ready;
    return (
        <div class="next-block ready-place">
            <h2>{to_charge ? "ready to charge" : "not ready yet:"}</h2>
            {!to_charge && missing.map((text) => <p key={text}>{unbroken(text)}</p>)}
        </div>
    );
}

function NextMove({ model, status }: Part) {
    const move = status.next_move;
    const why = () => model.show("move");
    if (!move)
        return (
            <Glance class="next-block" label="why no move" onTap={why}>
                <span class="label">next move</span>
                <span class="value">none</span>
                <span class="small">no more planned</span>
            </Glance>
        );
    const by_hand = moves_by_hand(status, move.control);
    const trigger = trigger_words(move.when, model.settings.scale);
    const level = `to ${level_words(move.to, move.unit)}`;
    const when = move.in_s === null ? (model.live() ? trigger : kDash) : countdown(move.in_s);
    const overdue = move.in_s !== null && move.in_s < -0.5;
    return (
        <>
            <Glance
                class={`next-block${overdue ? " overdue" : ""}${by_hand ? " with-hand" : ""}`}
                label="why this move"
                onTap={why}
            >
                <span class="label">next move</span>
                <span class={`${value_class(move.control)} control`}>{move.control.replaceAll("_", " ")}</span>
                <span class={`${value_class(level, true)} level`}>{level}</span>
                <span class={`${value_class(when)} when`} data-glance="countdown">
                    {when}
                </span>
            </Glance>
            {by_hand && (
                <div class="hand">
                    <button
                        type="button"
                        class="plain"
                        disabled={!model.live()}
                        onClick={() =>
                            void model.command("/api/moves", { control: move.control, to: move.to, ago_s: 0 })
                        }
                    >
                        made it now
                    </button>
                </div>
            )}
        </>
    );
}

function FirstCrack(part: Part) {
    const { model, status } = part;
    const cracked = status.roast?.milestones.first_crack;
    if (cracked) return <Cracked {...part} at_s={cracked.at_s} />;
    const crack = status.forecast?.first_crack;
    if (!crack)
        return (
            <Glance class="next-block" label="why no forecast" onTap={() => model.show("forecast")}>
                <span class="label">first crack</span>
                <span class="value">{kDash}</span>
                <span class="small">{status.no_forecast ?? "no forecast yet"}</span>
            </Glance>
        );
    const interval = interval_from_now(crack);
    return (
        <Glance class="next-block" label="why this forecast" onTap={() => model.show("forecast")}>
            <span class="label">first crack</span>
            <span class={value_class(countdown(crack.in_s), true)} data-glance="crack">
                {countdown(crack.in_s)}
            </span>
            <svg class="interval" viewBox="0 0 200 10" preserveAspectRatio="none" aria-hidden="true">
                <rect x="0" y="3.5" width="200" height="3" class="interval-whole" />
                <rect
                    x={interval.share_from * 200}
                    y="0"
                    width={Math.max(4, (interval.share_to - interval.share_from) * 200)}
                    height="10"
                    class="interval-part"
                />
            </svg>
            <span class="small">
                {interval.to_s > 0
                    ? `${minutes_seconds(interval.from_s)} to ${minutes_seconds(interval.to_s)}`
                    : "its time has passed"}
            </span>
            {interval.to_s > 0 && <span class="small often">8 times in 10</span>}
        </Glance>
    );
}

function Cracked({ model, status, at_s }: Part & { at_s: number }) {
    const estimated = status.roast?.milestones.first_crack?.source !== "mark";
    const drop = status.drop;
    const share = drop?.development_share;
    return (
        <Glance class="next-block" label="why this time" onTap={() => model.show("milestones")}>
            <span class="label">{estimated ? "since first crack, estimated" : "since first crack"}</span>
            <span class={estimated ? "value" : "value firm"}>
                {model.live() ? minutes_seconds(drop?.development_s ?? (status.roast?.elapsed_s ?? 0) - at_s) : kDash}
            </span>
            <span class="small">at {minutes_seconds(at_s)}</span>
            {share !== null && share !== undefined && (
                <span class="small">{unbroken(`${plain(share * 100, 0)} % of the roast`)}</span>
            )}
        </Glance>
    );
}

function DropPlace({ model, status }: Part) {
    const drop = status.drop;
    const rule = model.target?.drop;
    const scale = model.settings.scale;
    const has_time = drop?.in_s !== null && drop?.in_s !== undefined;
    if (!has_time && !rule && !status.target) return null;
    return (
        <Glance class="next-block drop-place" label="why this drop" onTap={() => model.show("drop")}>
            <span class="label">drop</span>
            <span class={value_class(countdown(drop?.in_s))}>{has_time ? countdown(drop?.in_s) : kDash}</span>
            <span class="small">
                {rule ? trigger_words(rule, scale) : drop?.at_s ? `at ${minutes_seconds(drop.at_s)}` : ""}
            </span>
        </Glance>
    );
}

function Tray({ model, status, small }: Part & { small?: boolean }) {
    const cooling = status.cooling;
    const scale = model.settings.scale;
    if (!cooling)
        return small ? null : (
            <div class="next-block">
                <h2>in the tray</h2>
                <p class="value">empty</p>
            </div>
        );
    const tray = cooling.tray_c;
    const warm =
        tray === null || tray === undefined ? "" : `, ${plain(to_scale(tray, scale), 0)} ${unit_symbol(scale)}`;
    if (small)
        return (
            <p class="tray-line" title={`roast ${cooling.id}, cooling`}>
                tray: {minutes_seconds(cooling.since_s)}
                {warm}
            </p>
        );
    return (
        <div class="next-block">
            <h2>in the tray: roast {cooling.id}</h2>
            <p class="value firm">{minutes_seconds(cooling.since_s)}</p>
            <p class="small">cooling{warm}</p>
        </div>
    );
}

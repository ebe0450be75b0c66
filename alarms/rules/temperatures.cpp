// Limits of readings: bean, exhaust, inlet and drum metal, oxidiser, tray, carbon monoxide.
#include <initializer_list>

#include "alarms/rules/judging.hpp"

namespace drumwatch {

namespace {

Milli milli(double value) { return to_milli(value).value_or(0); }

bool holds(AlarmsHeld held, AlarmRule rule) { return (held >> static_cast<unsigned>(rule)) & 1u; }

void high_limit(Judgement& judged, const RuleSettings& rule, double limit, const ProbeInput& probe) {
    if (!readable(judged, rule, probe)) return;
    judged.value_milli = probe.value_milli;
    judged.condition = against(from_milli(probe.value_milli), limit, rule.deadband);
    if (judged.condition != Condition::clear) judged.limit_milli = milli(limit);
}

constexpr double kFasterThanCoffee_per_min = 30;  // near the end of a roast

/// A leap past the target's end is no drop that is overdue: it has other names.
void unless_it_leaps(Judgement& judged, const AlarmInputs& now) {
    const bool leaps = now.roast.rise_per_min && *now.roast.rise_per_min > kFasterThanCoffee_per_min;
    if (leaps && judged.condition == Condition::active) judged.condition = Condition::between;
}

/// Some degrees above the target's end, while roasting.
void above_target(Judgement& judged, const RuleSettings& rule, const AlarmInputs& now) {
    if (!rule.on) return;
    if (!now.roasting) return suppress(judged, SuppressedBy::no_roast);
    if (!now.roast.target_end_c) return suppress(judged, SuppressedBy::no_target);
    high_limit(judged, rule, *now.roast.target_end_c + rule.limit, now.bean);
}

void oxidiser(Judgement& judged, const RuleSettings& rule, const AlarmInputs& now) {
    if (!rule.on) return;
    if (!now.roasting) return suppress(judged, SuppressedBy::no_roast);
    if (!readable(judged, rule, now.oxidiser)) return;
    judged.value_milli = now.oxidiser.value_milli;
    judged.condition = below(from_milli(now.oxidiser.value_milli), rule.limit, rule.deadband);
    if (judged.condition != Condition::clear) judged.limit_milli = milli(rule.limit);
}

constexpr double kCool_c = 40;  // where no probe tells how warm the room is

/// Of the batch in the tray: still warm so long after its drop.
void tray(Judgement& judged, const RuleSettings& rule, const AlarmInputs& now) {
    if (!rule.on || !now.tray.configured) return;
    if (!now.cooling_s) {
        judged.condition = Condition::clear;
        return;
    }
    if (!readable(judged, rule, now.tray)) return;
    const bool ambient = now.ambient.configured && has_value(now.ambient.quality);
    const double limit = ambient ? from_milli(now.ambient.value_milli) + rule.limit : kCool_c;
    judged.limit_milli = milli(limit);
    judged.value_milli = now.tray.value_milli;
    judged.condition = against(from_milli(now.tray.value_milli), limit, rule.deadband);
    judged.held_ms = static_cast<std::int64_t>(*now.cooling_s * 1000);
    if (judged.held_ms < rule.on_delay_ms && judged.condition == Condition::active)
        judged.condition = Condition::between;
}

}  // namespace

void judge_limits(Judgements judged, const AlarmSettings& settings, const AlarmInputs& now) {
    const auto limit = [&](AlarmRule rule, const ProbeInput& probe) {
        high_limit(judged[rule], settings[rule], settings[rule].limit, probe);
    };
    limit(AlarmRule::bean_high_high, now.bean);
    above_target(judged[AlarmRule::bean_high], settings[AlarmRule::bean_high], now);
    above_target(judged[AlarmRule::drop_overdue], settings[AlarmRule::drop_overdue], now);
    unless_it_leaps(judged[AlarmRule::drop_overdue], now);
    limit(AlarmRule::exhaust_high, now.exhaust);
    limit(AlarmRule::inlet_high, now.inlet);
    limit(AlarmRule::drum_high, now.drum);
    limit(AlarmRule::carbon_monoxide_high, now.carbon_monoxide);
    limit(AlarmRule::carbon_monoxide, now.carbon_monoxide);
}

/// A graver alarm of the same reading speaks for the others. Last of all.
void hide_lower(Judgements judged, const AlarmSettings& settings, AlarmsHeld held) {
    const auto hide = [&](AlarmRule higher, std::initializer_list<AlarmRule> lower) {
        if (!holds(held, higher)) return;
        for (const AlarmRule rule : lower)
            if (settings[rule].on) suppress(judged[rule], SuppressedBy::higher_alarm);
    };
    hide(AlarmRule::bean_high_high,
         {AlarmRule::bean_high, AlarmRule::drop_overdue, AlarmRule::drift, AlarmRule::runaway_rise});
    hide(AlarmRule::bean_high, {AlarmRule::drop_overdue});
    hide(AlarmRule::carbon_monoxide_high, {AlarmRule::carbon_monoxide});
}

void judge_exhaust_and_tray(Judgements judged, const AlarmSettings& settings, const AlarmInputs& now) {
    oxidiser(judged[AlarmRule::oxidiser_cold], settings[AlarmRule::oxidiser_cold], now);
    tray(judged[AlarmRule::cooling_slow], settings[AlarmRule::cooling_slow], now);
}

}  // namespace drumwatch

#include "alarms/rules.hpp"

#include <algorithm>
#include <cmath>

namespace drumwatch {

namespace {
constexpr double kDriftDeadbandAtLeast_c = 0.5;

Milli milli(double value) { return to_milli(value).value_or(0); }

/// Deadband acts on clearing only: active above the limit, clear at limit - deadband and below.
Condition against(double value, double limit, double deadband) {
    if (value > limit) return Condition::active;
    return value <= limit - deadband ? Condition::clear : Condition::between;
}

Judgement high_limit(const RuleSettings& rule, const ProbeInput& probe) {
    Judgement judged;
    judged.priority = rule.priority;
    judged.limit_milli = milli(rule.limit);
    if (!rule.on || !probe.configured || !has_value(probe.quality)) return judged;
    judged.value_milli = probe.value_milli;
    judged.condition = against(from_milli(probe.value_milli), rule.limit, rule.deadband);
    return judged;
}

/// So many times the tolerance; where the target is so steep that its corridor is wider, at the corridor.
Judgement drift(const RuleSettings& rule, const AlarmInputs& now) {
    Judgement judged;
    judged.priority = rule.priority;
    const double limit = std::max(rule.limit * now.tolerance_c, now.corridor_c);
    judged.limit_milli = milli(limit);
    if (!rule.on || !now.roasting) {
        judged.condition = Condition::suppressed;
    } else if (now.deviation_c) {
        const double deadband = std::max(rule.deadband * now.corridor_c, kDriftDeadbandAtLeast_c);
        judged.value_milli = milli(*now.deviation_c);
        judged.condition = against(std::fabs(*now.deviation_c), limit, deadband);
    }
    return judged;
}

/// A silent bus explains its channels: then the bus's alarm speaks, not the probe's.
Judgement bean_probe(const RuleSettings& rule, const AlarmInputs& now) {
    Judgement judged;
    judged.priority = now.roasting ? Priority::high : rule.priority;
    judged.value_milli = static_cast<Milli>(now.bean.quality);
    judged.members = 1;
    if (!rule.on || !now.bean.configured || now.bean.quality == Quality::never_read) return judged;
    if (now.bean.quality == Quality::bus_silent) {
        judged.condition = Condition::blind;
    } else {
        judged.condition = has_value(now.bean.quality) ? Condition::clear : Condition::active;
    }
    return judged;
}

Judgement bus(const RuleSettings& rule, const AlarmInputs& now) {
    Judgement judged;
    const bool blind_bean = now.roasting && (now.silent_buses & now.bean_buses) != 0;
    judged.priority = blind_bean ? Priority::high : rule.priority;
    judged.members = now.silent_channels;
    if (rule.on) judged.condition = now.silent_buses != 0 ? Condition::active : Condition::clear;
    return judged;
}

Judgement record(const RuleSettings& rule, const AlarmInputs& now) {
    Judgement judged;
    judged.priority = rule.priority;
    if (rule.on) judged.condition = now.record_failing ? Condition::active : Condition::clear;
    return judged;
}

}  // namespace

std::array<Judgement, kAlarmRules> judge_rules(const AlarmSettings& settings, const AlarmInputs& now) {
    // In the order of AlarmRule.
    return {high_limit(settings[AlarmRule::bean_high_high], now.bean),
            high_limit(settings[AlarmRule::exhaust_high], now.exhaust),
            drift(settings[AlarmRule::drift], now),
            bean_probe(settings[AlarmRule::bean_probe_fault], now),
            bus(settings[AlarmRule::bus_silent], now),
            record(settings[AlarmRule::record_failing], now)};
}

}  // namespace drumwatch

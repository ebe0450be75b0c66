// What is held against the course of a roast: drift, stall, runaway rise, a suspected flame-out.
#include <algorithm>
#include <cmath>

#include "alarms/rules/judging.hpp"

namespace drumwatch {

namespace {
constexpr double kDriftDeadbandAtLeast_c = 0.5;
constexpr double kRisesAgain_s = 45;     // after the turning point, where the rise begins at nothing
constexpr double kDipAfterCrack_s = 60;  // natural
constexpr double kBelowTarget_per_min = 2.5;
constexpr double kBurnerOn = 15;  // %, kPa or steps
constexpr double kSteady_s = 45;  // after a move the exhaust may fall with reason

/// Numbers are only wanted where there is something to say.
void judge(Judgement& judged, Condition condition, double value, double limit) {
    judged.condition = condition;
    if (condition == Condition::clear) return;
    judged.value_milli = to_milli(value).value_or(0);
    judged.limit_milli = to_milli(limit).value_or(0);
}

/// So many times the tolerance; where the target is so steep that its corridor is wider, at the corridor.
void drift(Judgement& judged, const RuleSettings& rule, const AlarmInputs& now) {
    const RoastInput& roast = now.roast;
    const double limit = std::max(rule.limit * roast.tolerance_c, roast.corridor_c);
    if (!rule.on) return;
    if (!now.roasting) return suppress(judged, SuppressedBy::no_roast);
    if (!roast.deviation_c) return;
    const double deadband = std::max(rule.deadband * roast.corridor_c, kDriftDeadbandAtLeast_c);
    judge(judged, against(std::fabs(*roast.deviation_c), limit, deadband), *roast.deviation_c, limit);
    judged.doubted = roast.stands_unexplained;
}

/// Where the target itself hardly rises, clearly below it: a plateau that was planned is none.
void stall(Judgement& judged, const RuleSettings& rule, const AlarmInputs& now) {
    const RoastInput& roast = now.roast;
    if (!rule.on) return;
    if (!now.roasting) return suppress(judged, SuppressedBy::no_roast);
    const bool rises = roast.since_turning_s && *roast.since_turning_s >= kRisesAgain_s;
    const bool dips = roast.since_crack_s && *roast.since_crack_s < kDipAfterCrack_s;
    if (!rises || dips) return suppress(judged, SuppressedBy::phase);
    if (!roast.rise_per_min) return;
    const double planned = roast.target_rise_per_min.value_or(rule.limit + kBelowTarget_per_min);
    const double limit = std::min(rule.limit, planned - kBelowTarget_per_min);
    judge(judged, below(*roast.rise_per_min, limit, rule.deadband), *roast.rise_per_min, limit);
    judged.doubted = roast.stands_still;
}

/// Only from yellow on: before it a rise tells little. Where the target falls, as above a flat one: no rise
/// of coffee is measured by that.
void runaway_rise(Judgement& judged, const RuleSettings& rule, const AlarmInputs& now) {
    const RoastInput& roast = now.roast;
    if (!rule.on) return;
    if (!now.roasting) return suppress(judged, SuppressedBy::no_roast);
    if (!roast.yellow_passed) return suppress(judged, SuppressedBy::phase);
    if (!roast.target_end_c) return suppress(judged, SuppressedBy::no_target);
    if (!roast.target_rise_per_min || !roast.rise_per_min) return;
    const double limit = std::max(0.0, *roast.target_rise_per_min) + rule.limit;
    judge(judged, against(*roast.rise_per_min, limit, rule.deadband), *roast.rise_per_min, limit);
}

/// The exhaust falls as it does without a flame, though the burner is said to be on and nothing was moved.
void flame_out(Judgement& judged, const RuleSettings& rule, const AlarmInputs& now) {
    const RoastInput& roast = now.roast;
    if (!rule.on) return;
    if (!now.roasting) return suppress(judged, SuppressedBy::no_roast);
    if (!roast.burner || !roast.exhaust_rise_per_min || !roast.since_turning_s) return;
    judge(judged, below(*roast.exhaust_rise_per_min, -rule.limit, rule.deadband), *roast.exhaust_rise_per_min,
          -rule.limit);
    const bool explained = *roast.burner < kBurnerOn || roast.since_move_s < kSteady_s;
    if (explained && judged.condition == Condition::active) judged.condition = Condition::between;
}

}  // namespace

void judge_drift(Judgements judged, const AlarmSettings& settings, const AlarmInputs& now) {
    drift(judged[AlarmRule::drift], settings[AlarmRule::drift], now);
}

void judge_roast(Judgements judged, const AlarmSettings& settings, const AlarmInputs& now) {
    stall(judged[AlarmRule::stall], settings[AlarmRule::stall], now);
    runaway_rise(judged[AlarmRule::runaway_rise], settings[AlarmRule::runaway_rise], now);
    flame_out(judged[AlarmRule::flame_out], settings[AlarmRule::flame_out], now);
}

}  // namespace drumwatch

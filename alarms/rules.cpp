#include "alarms/rules.hpp"

#include "alarms/rules/judging.hpp"

namespace drumwatch {

void judge_rules(std::array<Judgement, kAlarmRules>& judged, const AlarmSettings& settings,
                 const AlarmInputs& now, AlarmsHeld held, bool all) {
    for (std::size_t i = 0; i < kAlarmRules; ++i) judged[i].priority = settings.rules[i].priority;
    const Judgements at(judged);
    judge_limits(at, settings, now);
    judge_drift(at, settings, now);
    judge_probes(at, settings, now);
    judge_box(at, settings, now);
    if (all) {
        judge_roast(at, settings, now);
        judge_exhaust_and_tray(at, settings, now);
        judge_box_at_leisure(at, settings, now);
    }
    if (held != 0) hide_lower(at, settings, held);
}

}  // namespace drumwatch

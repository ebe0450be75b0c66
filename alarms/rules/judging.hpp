// Parts of judge_rules: each fills in the judgements of its rules. Private to alarms/.
#pragma once

#include "alarms/rules.hpp"

namespace drumwatch {

/// Where the judgements stand that a part fills in.
class Judgements {
  public:
    explicit Judgements(std::array<Judgement, kAlarmRules>& all) : all_(all) {}
    Judgement& operator[](AlarmRule rule) const { return all_[static_cast<std::size_t>(rule)]; }

  private:
    std::array<Judgement, kAlarmRules>& all_;
};

/// Deadband acts on clearing only: active above the limit, clear at limit - deadband and below.
Condition against(double value, double limit, double deadband);
/// The same downwards: active below the limit, clear at limit + deadband and above.
Condition below(double value, double limit, double deadband);
void suppress(Judgement& judged, SuppressedBy why);
/// Whether a value alarm of this probe can be judged. Only an open circuit or a reading outside its span
/// suppresses it; where there is no reading, it is blind.
bool readable(Judgement& judged, const RuleSettings& rule, const ProbeInput& probe);

void judge_limits(Judgements judged, const AlarmSettings& settings, const AlarmInputs& now);
void judge_exhaust_and_tray(Judgements judged, const AlarmSettings& settings, const AlarmInputs& now);
void judge_drift(Judgements judged, const AlarmSettings& settings, const AlarmInputs& now);
void judge_roast(Judgements judged, const AlarmSettings& settings, const AlarmInputs& now);
void judge_probes(Judgements judged, const AlarmSettings& settings, const AlarmInputs& now);
void judge_box(Judgements judged, const AlarmSettings& settings, const AlarmInputs& now);
void hide_lower(Judgements judged, const AlarmSettings& settings, AlarmsHeld held);
void judge_box_at_leisure(Judgements judged, const AlarmSettings& settings, const AlarmInputs& now);

}  // namespace drumwatch

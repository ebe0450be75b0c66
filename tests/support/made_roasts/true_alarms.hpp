// When an alarm is due by the truth of a made roast: the rules of the roast's course written down a second
// time, for the probe without noise, second by second, with slopes across the moment instead of behind it.
// Defaults of alarms/settings.hpp. Nothing of the daemon but its plain data.
#pragma once

#include <functional>
#include <optional>

#include "core/alarm.hpp"
#include "support/made_roasts/made_day.hpp"

namespace drumwatch {

class TrueAlarms {
  public:
    /// `leaps_at_s`: since charge, for a leap.
    TrueAlarms(const Target& target, const BatchTruth& truth, std::optional<double> leaps_at_s)
        : target_(target), truth_(truth), leaps_at_s_(leaps_at_s) {}

    /// How far beyond its limit it must be: what noise and a charge a second off can hide (0.5 degrees of
    /// deviation, 1 C/min of rise) more, or less, than the limit itself.
    enum class Bound { less, itself, more };
    /// Seconds since charge at which the condition began to hold for as long as the rule's delay, not before
    /// `from_s`; nothing where it never does, or for a rule that is not one of the roast's course.
    std::optional<double> began_s(AlarmRule rule, double from_s, Bound bound) const;
    /// The same and the delay.
    std::optional<double> at_s(AlarmRule rule, double from_s, Bound bound) const;

  private:
    double bean_c(double t_s) const;
    double rise(double t_s) const;
    double target_rise(double t_s) const;
    bool drifts(double t_s, double by) const;
    bool stalls(double t_s, double by) const;
    bool runs_away(double t_s, double by) const;
    bool holds(AlarmRule rule, double t_s, double by) const;
    double end_c() const;

    const Target& target_;
    const BatchTruth& truth_;
    std::optional<double> leaps_at_s_;
};

}  // namespace drumwatch

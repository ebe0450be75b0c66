#include "support/made_roasts/true_alarms.hpp"

#include <algorithm>
#include <cmath>

#include "support/made_roasts/kept_truth.hpp"

namespace drumwatch {
namespace {

constexpr double kStep_s = 0.5;
constexpr double kHidden_c = 0.5;
constexpr double kHidden_per_min = 1;

/// Of the rules that are known here; 0: none.
double delay_s(AlarmRule rule) {
    switch (rule) {
        case AlarmRule::drift:
        case AlarmRule::runaway_rise:
            return 10;
        case AlarmRule::stall:
            return 20;
        case AlarmRule::bean_high:
            return 5;
        case AlarmRule::bean_high_high:
            return 3;
        default:
            return 0;
    }
}

}  // namespace

double TrueAlarms::bean_c(double t_s) const {
    return true_bean_c(truth_, t_s) + (leaps_at_s_ ? leap_c(t_s - *leaps_at_s_) : 0);
}

double TrueAlarms::rise(double t_s) const { return 6 * (bean_c(t_s + 5) - bean_c(t_s - 5)); }

double TrueAlarms::target_rise(double t_s) const {
    return 6 * (true_target_c(target_, t_s + 5) - true_target_c(target_, t_s - 5));
}

double TrueAlarms::end_c() const {
    const double end_s = target_.points.back().t_s;
    return true_target_c(target_, end_s - 2.5);
}

bool TrueAlarms::drifts(double t_s, double by) const {
    if (t_s < target_.tolerance.from_s || t_s > target_.points.back().t_s) return false;
    const double least_c = target_.tolerance.bean_c;
    const double limit_c = std::max(2 * least_c, true_corridor_c(target_, least_c, t_s));
    return std::fabs(bean_c(t_s) - true_target_c(target_, t_s)) > limit_c + by * kHidden_c;
}

bool TrueAlarms::stalls(double t_s, double by) const {
    const bool natural = truth_.tapped_s > 0 && t_s > truth_.tapped_s && t_s < truth_.tapped_s + 60;
    if (t_s < truth_.turning_point_s + 45 || natural) return false;
    const bool planned = t_s < target_.points.back().t_s - 5;
    return rise(t_s) < (planned ? std::min(1.0, target_rise(t_s) - 2.5) : 1.0) - by * kHidden_per_min;
}

bool TrueAlarms::runs_away(double t_s, double by) const {
    if (t_s > target_.points.back().t_s - 5 || bean_c(t_s) < 150) return false;
    return rise(t_s) > std::max(0.0, target_rise(t_s)) + 6 + by * kHidden_per_min;
}

bool TrueAlarms::holds(AlarmRule rule, double t_s, double by) const {
    switch (rule) {
        case AlarmRule::drift:
            return drifts(t_s, by);
        case AlarmRule::stall:
            return stalls(t_s, by);
        case AlarmRule::runaway_rise:
            return runs_away(t_s, by);
        case AlarmRule::bean_high:
            return bean_c(t_s) > end_c() + 6 + by * kHidden_c;
        case AlarmRule::bean_high_high:
            return bean_c(t_s) > 240;
        default:
            return false;
    }
}

std::optional<double> TrueAlarms::began_s(AlarmRule rule, double from_s, Bound bound) const {
    const double long_s = delay_s(rule);
    if (long_s <= 0) return std::nullopt;
    const double by = bound == Bound::less ? -1 : bound == Bound::more ? 1 : 0;
    std::optional<double> since_s;
    for (double t_s = std::max(from_s, 10.0); t_s + 5 < truth_.drop_s; t_s += kStep_s) {
        if (!holds(rule, t_s, by)) {
            since_s.reset();
            continue;
        }
        if (!since_s) since_s = t_s;
        if (t_s - *since_s >= long_s) return since_s;
    }
    return std::nullopt;
}

std::optional<double> TrueAlarms::at_s(AlarmRule rule, double from_s, Bound bound) const {
    const auto began = began_s(rule, from_s, bound);
    return began ? std::optional(*began + delay_s(rule)) : std::nullopt;
}

}  // namespace drumwatch

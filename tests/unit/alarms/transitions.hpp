// Transitions for tests, written short. Times in s.
#pragma once

#include <vector>

#include "alarms/figures/figures.hpp"

namespace drumwatch {

inline AlarmTransition at(double s, AlarmChange change, std::uint64_t occurrence, AlarmRule rule,
                          Priority priority = Priority::medium, std::uint64_t roast = 0,
                          const char* who = "") {
    return {static_cast<std::int64_t>(s * 1000), rule, occurrence, priority, change, roast, who};
}

inline TimeSpan seconds(double from_s, double to_s) {
    return {static_cast<std::int64_t>(from_s * 1000), static_cast<std::int64_t>(to_s * 1000)};
}

/// A period that was watched from its beginning to its end.
inline AlarmPeriod watched(double to_s) {
    AlarmPeriod period;
    period.span = seconds(0, to_s);
    period.watched = {period.span};
    return period;
}

/// Alarms of one rule, never acknowledged, each over after a second.
inline std::vector<AlarmTransition> raised_at(const std::vector<double>& times_s,
                                              AlarmRule rule = AlarmRule::drift) {
    std::vector<AlarmTransition> list;
    std::uint64_t occurrence = 0;
    for (const double s : times_s) list.push_back(at(s, AlarmChange::raised, ++occurrence, rule));
    return list;
}

}  // namespace drumwatch

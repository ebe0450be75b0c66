// How many alarms came in how short a time. PURE but for allocation; times in ms.
#pragma once

#include <cstdint>
#include <vector>

#include "alarms/figures/figures.hpp"

namespace drumwatch {

/// How much of `spans` (in order and apart) lies within `part`.
std::int64_t overlap_ms(const std::vector<TimeSpan>& spans, const TimeSpan& part);

/// The most onsets in any 10 minutes that end within the span. `onsets_ms` in order, as below.
std::size_t most_in_window(const std::vector<std::int64_t>& onsets_ms, const TimeSpan& span);
/// When more than 10 onsets lie in the 10 minutes before; in order and apart.
std::vector<TimeSpan> crowded_spans(const std::vector<std::int64_t>& onsets_ms);
/// Cut at `now_ms`, up to which the onsets are known.
std::vector<AlarmFlood> floods(const std::vector<std::int64_t>& onsets_ms, std::int64_t now_ms);
/// How often chattering began: with a third onset within a minute where the one before was no such third.
/// Only what lies in the span counts.
std::size_t chatter_count(const std::vector<std::int64_t>& onsets_of_a_rule_ms, const TimeSpan& span);

}  // namespace drumwatch

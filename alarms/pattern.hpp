// The sounder's pulse patterns, in steps of 500 ms as a relay on a bus can follow them. PURE.
// Groups of pulses by priority after the idea of IEC 60601-1-8 (no conformity claimed); step lengths:
// judgement, no source. Never a continuous tone: that is reserved for evacuation.
#pragma once

#include <cstdint>

#include "core/alarm.hpp"

namespace drumwatch {

inline constexpr std::int64_t kPulseStep_ms = 500;

/// The output's level `since_ms` after the pattern began. high: 3 + 2 pulses every 8 s; medium: 3 every 10 s;
/// low: 2 once.
bool pulse(Pattern pattern, std::int64_t since_ms);

}  // namespace drumwatch

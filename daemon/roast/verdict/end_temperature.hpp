// The temperature that a batch left the drum with. PURE.
#pragma once

#include <optional>

#include "roast/verdict/trace.hpp"

namespace drumwatch {

/// What the end temperature is the mean of.
inline constexpr double kEnd_s = 5;

/// Mean of the good readings in the last 5 s before the drop, degrees C; a spike is none of them. Nothing:
/// there was no good one.
std::optional<double> end_temperature(const Trace& trace, Tick drop);

}  // namespace drumwatch

// The arithmetic of a tick with nothing round it: no milestones' rules, no judgements, no events, no
// snapshot, no memory of what is shown. What bench_ticks measures the engine against.
#pragma once

#include <vector>

#include "core/reading.hpp"
#include "roast/target/target_curve.hpp"

namespace drumwatch {

/// Channels 0 and 1 and 4 to 7 are temperatures, 2 and 3 controls. What it comes to means nothing; it is
/// given back, so that it is not left out.
double bare_arithmetic(const std::vector<Frame>& frames, Tick charge, const TargetCurve& target);

}  // namespace drumwatch

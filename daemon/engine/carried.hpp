// What one watch hands on to the next: at a cut, what the engine goes on with as if nothing had been; at a
// restart, what outlives it. Part of Begin, so a rerun of the new watch starts from the same. PURE.
#pragma once

#include <optional>
#include <vector>

#include "alarms/alarm_memory.hpp"
#include "core/reading.hpp"
#include "core/snapshot.hpp"

namespace drumwatch {

struct Carried {
    Tick first;  ///< the watch's first tick; ticks go on over a cut, a restart begins at 0
    AlarmBookMemory alarms;
    std::optional<CoolingView> cooling;
    std::optional<VerdictView> last_verdict;  ///< to be shown; its batch is closed
    std::optional<Tick> last_drop;
    std::uint32_t silent_buses = 0;     ///< bits
    std::uint32_t failed_sounders = 0;  ///< bits
    std::uint32_t health_bad = 0;       ///< bits by Health
    /// Frames before `first`, told in silence: qualities, smoothing, levels and the look-out for a charge
    /// then stand where they stood.
    std::vector<Frame> warm_up;
};

}  // namespace drumwatch

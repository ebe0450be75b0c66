// Each alarm's own story, put together from the transitions. PURE but for allocation.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "alarms/figures/transition.hpp"

namespace drumwatch {

struct AlarmOnset {
    AlarmRule rule = AlarmRule::bean_high_high;
    Priority priority = Priority::medium;
    std::uint64_t roast = 0;
    std::int64_t raised_ms = 0;
    /// No more active: cleared, taken out of sight by design or out of service, or forgotten at a restart.
    std::optional<std::int64_t> ended_ms;
    bool cleared = false;  ///< by itself, and it was in sight until then
    std::optional<std::int64_t>
        answered_ms;  ///< acknowledged, or reset, which nobody does who has not seen it
    std::optional<std::int64_t> shelved_ms;  ///< first
};

/// In the order in which they were raised. Numbers of occurrences may begin anew: one belongs to the newest
/// alarm that has it.
std::vector<AlarmOnset> alarm_onsets(const std::vector<AlarmTransition>& transitions);

}  // namespace drumwatch

// What is so of an alarm rule by its nature, whatever the site sets. PURE.
#pragma once

#include "core/alarm.hpp"

namespace drumwatch {

/// It stands before a danger: it can't be shelved, and nobody is told to make it quieter.
constexpr bool guards(AlarmRule rule) {
    switch (rule) {
        case AlarmRule::bean_high_high:
        case AlarmRule::carbon_monoxide_high:
        case AlarmRule::carbon_monoxide:
        case AlarmRule::bean_probe_fault:
        case AlarmRule::probe_fault:
        case AlarmRule::bus_silent:
        case AlarmRule::flame_out:
            return true;
        default:
            return false;
    }
}

/// It can never be taken out of service.
constexpr bool always_in_service(AlarmRule rule) { return rule == AlarmRule::bean_high_high; }

/// While it is active, prompts to move or to drop are withheld. The bean probe's bus: where its alarm is
/// high.
constexpr bool withholds_prompts(AlarmRule rule) {
    return rule == AlarmRule::bean_high_high || rule == AlarmRule::carbon_monoxide_high ||
           rule == AlarmRule::bean_probe_fault || rule == AlarmRule::oxidiser_cold ||
           rule == AlarmRule::flame_out;
}

}  // namespace drumwatch

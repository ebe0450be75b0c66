// What a site can set of its alarms. Defaults: engineering judgement, common practice, no source, unless
// said.
#pragma once

#include <array>
#include <cstdint>
#include <optional>

#include "core/alarm.hpp"

namespace drumwatch {

struct RuleSettings {
    bool on = true;
    double limit = 0;     ///< degrees C; drift: multiples of the tolerance; others: unused
    double deadband = 0;  ///< same unit; acts on clearing only; drift: share of the corridor, at least 0.5 C
    std::int64_t on_delay_ms = 0;
    std::int64_t off_delay_ms = 0;
    Priority priority = Priority::medium;
    bool latches = false;
    friend bool operator==(const RuleSettings&, const RuleSettings&) = default;
};

/// Indexed by AlarmRule.
struct AlarmSettings {
    std::array<RuleSettings, kAlarmRules> rules{{
        {true, 240, 3, 3000, 10000, Priority::high, true},  // bean_high_high
        {false, 0, 3, 5000, 15000, Priority::medium,
         false},  // exhaust_high: off until the site sets its limit
        {true, 2, 0.25, 10000, 15000, Priority::medium, false},  // drift: at twice the tolerance
        {true, 0, 0, 500, 10000, Priority::medium,
         false},  // bean_probe_fault: 3 bad samples at 4 Hz; high while roasting
        {true, 0, 0, 2000, 10000, Priority::medium,
         false},  // bus_silent: after 1 s of silence; high while it carries a roast's bean probe
        {true, 0, 0, 5000, 60000, Priority::medium, false},  // record_failing
    }};
    const RuleSettings& operator[](AlarmRule rule) const { return rules[static_cast<std::size_t>(rule)]; }
    RuleSettings& operator[](AlarmRule rule) { return rules[static_cast<std::size_t>(rule)]; }
};

}  // namespace drumwatch

// What a site can set of its alarms. Defaults: engineering judgement, common practice, no source, unless
// said.
#pragma once

#include <array>
#include <cstdint>

#include "core/alarm.hpp"

namespace drumwatch {

struct RuleSettings {
    bool on = true;
    /// Degrees C, C/min or ppm. bean_high, drop_overdue: above the target's end; drift: multiples of the
    /// tolerance; runaway_rise: above the target's rise; stall: rise; flame_out: fall of the exhaust;
    /// cooling_slow: above ambient; faults and box: unused.
    double limit = 0;
    double deadband = 0;  ///< same unit; acts on clearing only; drift: share of the corridor, at least 0.5 C
    std::int64_t on_delay_ms = 0;  ///< cooling_slow: from the drop
    std::int64_t off_delay_ms = 0;
    Priority priority = Priority::medium;
    bool latches = false;
    /// So many bad ones of the last so many readings are an onset as well, however short; 0: unused.
    std::uint8_t bad_readings = 0;
    std::uint8_t of_readings = 0;
    friend bool operator==(const RuleSettings&, const RuleSettings&) = default;
};

inline constexpr std::int64_t kShelfAtMost_ms = 1'800'000;
inline constexpr std::int64_t kShelfUsual_ms = 600'000;

/// An alarm that lasts, and was acknowledged or silenced so long ago, calls again; 0: never.
constexpr std::int64_t calls_again_after_ms(Priority priority) {
    return priority == Priority::high ? 120'000 : priority == Priority::medium ? 300'000 : 0;
}

/// Indexed by AlarmRule.
struct AlarmSettings {
    static constexpr RuleSettings kOffUntilSet{false, 0, 3, 5000, 15000, Priority::medium};
    std::array<RuleSettings, kAlarmRules> rules{{
        {true, 240, 3, 3000, 10000, Priority::high, true},         // bean_high_high
        {true, 6, 2, 5000, 15000, Priority::medium},               // bean_high
        kOffUntilSet,                                              // exhaust_high
        kOffUntilSet,                                              // inlet_high
        kOffUntilSet,                                              // drum_high
        {true, 2, 0.25, 10000, 15000, Priority::medium},           // drift
        {true, 1, 1, 20000, 20000, Priority::low},                 // stall
        {true, 6, 1, 10000, 15000, Priority::medium},              // runaway_rise
        {true, 3, 1, 5000, 5000, Priority::medium},                // drop_overdue
        {true, 20, 10, 15000, 15000, Priority::medium},            // flame_out
        {false, 0, 8, 60000, 60000, Priority::low},                // oxidiser_cold: its permit says
        {true, 15, 2, 300000, 10000, Priority::low},               // cooling_slow
        {true, 100, 5, 10000, 30000, Priority::high, true},        // carbon_monoxide_high
        {true, 35, 5, 10000, 30000, Priority::medium},             // carbon_monoxide
        {true, 0, 0, 2000, 10000, Priority::medium, false, 3, 5},  // bean_probe_fault: high while roasting
        {true, 0, 0, 3000, 10000, Priority::low},                  // probe_fault
        {true, 0, 0, 2000, 10000, Priority::medium},   // bus_silent: after 1 s of silence; high while it
                                                       // carries a roast's bean probe
        {true, 0, 0, 5000, 60000, Priority::medium},   // record_failing
        {true, 0, 0, 60000, 60000, Priority::medium},  // disk_low
        {true, 0, 0, 60000, 60000, Priority::low},     // clock_doubtful
        {true, 0, 0, 30000, 60000, Priority::low},     // processor_hot
        {true, 0, 0, 0, 0, Priority::medium, true},    // sounder_failed
    }};
    const RuleSettings& operator[](AlarmRule rule) const { return rules[static_cast<std::size_t>(rule)]; }
    RuleSettings& operator[](AlarmRule rule) { return rules[static_cast<std::size_t>(rule)]; }
};

}  // namespace drumwatch

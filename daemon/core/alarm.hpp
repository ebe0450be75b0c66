// The vocabulary of alarms that other rooms need; rules and lifecycle stand in alarms/.
#pragma once

#include <cstdint>
#include <string_view>

#include "core/milli.hpp"
#include "core/tick.hpp"

namespace drumwatch {

enum class Priority : std::uint8_t { high = 1, medium = 2, low = 3 };
std::string_view name(Priority priority);

enum class AlarmRule : std::uint8_t {
    bean_high_high,
    exhaust_high,
    drift,
    bean_probe_fault,
    bus_silent,
    record_failing,
};
inline constexpr std::size_t kAlarmRules = 6;
std::string_view name(AlarmRule rule);
/// Whether an alarm of this rule has a value and a limit, in degrees Celsius.
constexpr bool measures_temperature(AlarmRule rule) {
    return rule == AlarmRule::bean_high_high || rule == AlarmRule::exhaust_high || rule == AlarmRule::drift;
}

/// After ANSI/ISA-18.2 (from memory): what a person sees of one alarm.
enum class AlarmState : std::uint8_t {
    unknown,  ///< since start-up not judged yet
    normal,
    unacknowledged,
    acknowledged,
    returned_unacknowledged,  ///< over, but nobody has said that they saw it
    latched_unacknowledged,   ///< over, kept until seen and reset
    latched_acknowledged,
};
std::string_view name(AlarmState state);

struct AlarmView {
    std::uint64_t occurrence = 0;  ///< names this onset; an acknowledge names it
    AlarmRule rule = AlarmRule::bean_high_high;
    Priority priority = Priority::medium;
    AlarmState state = AlarmState::unknown;
    bool silenced = false;
    Tick since;
    Milli value_milli = 0;  ///< what was measured when last judged, in the rule's unit
    Milli limit_milli = 0;
    std::uint16_t members = 0;  ///< bits of the channels that stand under it
};

/// What the sounder does now.
enum class Pattern : std::uint8_t { off, high, medium, low };
std::string_view name(Pattern pattern);

}  // namespace drumwatch

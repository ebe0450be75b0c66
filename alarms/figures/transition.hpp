// What happened to an alarm, as the figures of the alarm system look at it. PURE.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "core/alarm.hpp"

namespace drumwatch {

enum class AlarmChange : std::uint8_t {
    raised,
    cleared,  ///< its condition is over, whether somebody has seen it or not
    acknowledged,
    reset,     ///< a latched alarm is released by hand
    silenced,  ///< the sound of all present alarms; rule and occurrence mean nothing
    again,     ///< it sounds anew since it has lasted long: no new onset
    shelved,
    unshelved,
    suppressed,  ///< by design
    released,    ///< no more suppressed
    out_of_service,
    returned,   ///< to service
    forgotten,  ///< the daemon began anew, so that nobody saw it clear; all alarms at once
};
inline constexpr std::size_t kAlarmChanges = 13;
std::string_view name(AlarmChange change);   ///< the word of files and API
std::string_view words(AlarmChange change);  ///< for a person

/// What an event of the journal means here, by the name of its kind; nothing where it is none of an alarm's.
/// The one place where the two vocabularies meet: a kind of event that is new stands here.
std::optional<AlarmChange> alarm_change(std::string_view event_kind);

struct AlarmTransition {
    std::int64_t time_ms = 0;  ///< on one clock for all transitions of a period
    AlarmRule rule = AlarmRule::bean_high_high;
    std::uint64_t occurrence = 0;
    Priority priority = Priority::medium;
    AlarmChange change = AlarmChange::raised;
    std::uint64_t roast = 0;  ///< in the drum then; 0: none
    std::string who;          ///< as given; empty: nobody, or not said
};

}  // namespace drumwatch

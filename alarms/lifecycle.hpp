// The states of one alarm and what moves it from one to the next, after ANSI/ISA-18.2 (states and main paths
// from memory of the standard; shelving, suppression and out of service as IEC 62682 and OPC UA part 9 name
// them, from memory). A table without memory or time: delays, shelves' ends and re-alarm timers are the alarm
// book's. PURE.
#pragma once

#include <cstdint>
#include <optional>

#include "core/alarm.hpp"

namespace drumwatch {

enum class AlarmAct : std::uint8_t {
    onset,  ///< its condition holds, after the delay
    clear,  ///< no more, after the delay
    acknowledge,
    reset,
    shelve,
    unshelve,
    timer,  ///< a shelf's time is over; an alarm that lasts calls again
    suppress,
    release,
    take_out,
    put_back,
};
inline constexpr std::size_t kAlarmActs = 11;

struct AlarmNature {
    bool latches = false;
    bool holds = false;  ///< its condition holds now: where it goes to from the shelf and the like
};

/// The state after the act; nothing where the act is not possible in that state, which then stays.
std::optional<AlarmState> after(AlarmState state, AlarmAct act, AlarmNature nature);

}  // namespace drumwatch

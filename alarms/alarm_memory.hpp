// What the alarm book remembers, as plain data: a watch hands it on to the next, and a latched alarm outlives
// a restart. PURE.
#pragma once

#include <array>
#include <cstdint>

#include "alarms/rules.hpp"
#include "core/alarm.hpp"

namespace drumwatch {

struct AlarmMemory {
    AlarmState state = AlarmState::unknown;
    std::uint64_t occurrence = 0;
    bool silenced = false;
    bool pending = false;  ///< the condition is changing towards the other side
    Tick pending_since;
    Tick since;
    Judgement judged;
};

struct AlarmBookMemory {
    std::array<AlarmMemory, kAlarmRules> alarms{};
    std::uint64_t occurrences = 0;  ///< numbers given so far; none is ever given twice
    Tick sounding_since;
    Pattern sounding = Pattern::off;
};

/// What outlives a restart: alarms of rules that latch, latched now whatever their condition was, as of
/// `now`; and the count of occurrences.
AlarmBookMemory after_restart(const AlarmBookMemory& before, const AlarmSettings& settings, Tick now);

}  // namespace drumwatch

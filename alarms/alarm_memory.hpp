// What the alarm book remembers, as plain data: a watch hands it on to the next, and what a restart must not
// forget outlives it. PURE.
#pragma once

#include <array>
#include <cstdint>

#include "alarms/figures/flood_watch.hpp"
#include "alarms/rules.hpp"
#include "core/alarm.hpp"

namespace drumwatch {

struct AlarmMemory {
    AlarmState state = AlarmState::unknown;
    std::uint64_t occurrence = 0;
    bool silenced = false;
    bool holds = false;      ///< the condition, after its delays, whatever the state
    bool came_back = false;  ///< a person took it from the shelf, or put it back: told at the next round
    bool pending = false;    ///< the condition is changing towards the other side
    Tick pending_since;
    std::uint16_t pending_members = 0;
    std::uint8_t bad_readings = 0;  ///< of the last ones, the newest in the lowest bit
    Tick since;
    Tick attended;  ///< acknowledged, silenced, or called again
    Tick until;     ///< shelved
    SuppressedBy suppressed_by = SuppressedBy::nothing;
    std::int8_t first = -1;
    Judgement judged;
};

struct AlarmBookMemory {
    std::array<AlarmMemory, kAlarmRules> alarms{};
    std::uint64_t occurrences = 0;  ///< numbers given so far; none is ever given twice
    Tick sounding_since;
    Pattern sounding = Pattern::off;
    Tick judged_at{-1'000'000};  ///< all rules
    bool roasting = false;
    NewestOnsets<kFloodOnsets> onsets;
    bool flood = false;
    PutAsideNotesPtr notes;  ///< null: nobody has put anything aside yet
};

/// What outlives a restart, as of `now`: alarms of rules that latch, latched now whatever their condition
/// was; what is out of service; and the count of occurrences. What was shelved is not.
AlarmBookMemory after_restart(const AlarmBookMemory& before, const AlarmSettings& settings, Tick now);

}  // namespace drumwatch

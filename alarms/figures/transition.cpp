#include "alarms/figures/transition.hpp"

#include <array>
#include <utility>

namespace drumwatch {

std::string_view name(AlarmChange change) {
    static constexpr std::array<std::string_view, kAlarmChanges> kTable{
        "raised",    "cleared",    "acknowledged", "reset",          "silenced", "again",    "shelved",
        "unshelved", "suppressed", "released",     "out_of_service", "returned", "forgotten"};
    const auto index = static_cast<std::size_t>(change);
    return index < kAlarmChanges ? kTable[index] : "?";
}

std::string_view words(AlarmChange change) {
    switch (change) {
        case AlarmChange::again:
            return "sounds again";
        case AlarmChange::out_of_service:
            return "out of service";
        case AlarmChange::returned:
            return "returned to service";
        case AlarmChange::forgotten:
            return "forgotten at a restart";
        default:
            return name(change);
    }
}

std::optional<AlarmChange> alarm_change(std::string_view event_kind) {
    static constexpr std::array<std::pair<std::string_view, AlarmChange>, 12> kTable{{
        {"alarm_raised", AlarmChange::raised},
        {"alarm_cleared", AlarmChange::cleared},
        {"alarm_acknowledged", AlarmChange::acknowledged},
        {"alarm_reset", AlarmChange::reset},
        {"alarms_silenced", AlarmChange::silenced},
        {"alarm_again", AlarmChange::again},
        {"alarm_shelved", AlarmChange::shelved},
        {"alarm_unshelved", AlarmChange::unshelved},
        {"alarm_suppressed", AlarmChange::suppressed},
        {"alarm_released", AlarmChange::released},
        {"alarm_out_of_service", AlarmChange::out_of_service},
        {"alarm_returned_to_service", AlarmChange::returned},
    }};
    for (const auto& [kind, change] : kTable) {
        if (kind == event_kind) return change;
    }
    return std::nullopt;
}

}  // namespace drumwatch

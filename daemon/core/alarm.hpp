// The vocabulary of alarms that other rooms need; rules and lifecycle stand in alarms/.
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>

#include "core/milli.hpp"
#include "core/tick.hpp"

namespace drumwatch {

enum class Priority : std::uint8_t { high = 1, medium = 2, low = 3 };
std::string_view name(Priority priority);

enum class AlarmRule : std::uint8_t {
    bean_high_high,
    bean_high,
    exhaust_high,
    inlet_high,
    drum_high,
    drift,
    stall,
    runaway_rise,
    drop_overdue,
    flame_out,
    oxidiser_cold,
    cooling_slow,
    carbon_monoxide_high,
    carbon_monoxide,
    bean_probe_fault,
    probe_fault,
    bus_silent,
    record_failing,
    disk_low,
    clock_doubtful,
    processor_hot,
    sounder_failed,
};
inline constexpr std::size_t kAlarmRules = 22;
std::string_view name(AlarmRule rule);
std::optional<AlarmRule> alarm_rule_from_name(std::string_view word);

/// What value and limit of an alarm are measured in.
enum class AlarmUnit : std::uint8_t { none, celsius, celsius_per_min, ppm };
std::string_view words(AlarmUnit unit);  ///< for people: "°C"; empty for none
constexpr AlarmUnit unit_of(AlarmRule rule) {
    switch (rule) {
        case AlarmRule::bean_high_high:
        case AlarmRule::bean_high:
        case AlarmRule::exhaust_high:
        case AlarmRule::inlet_high:
        case AlarmRule::drum_high:
        case AlarmRule::drift:
        case AlarmRule::drop_overdue:
        case AlarmRule::oxidiser_cold:
        case AlarmRule::cooling_slow:
            return AlarmUnit::celsius;
        case AlarmRule::stall:
        case AlarmRule::runaway_rise:
        case AlarmRule::flame_out:
            return AlarmUnit::celsius_per_min;
        case AlarmRule::carbon_monoxide_high:
        case AlarmRule::carbon_monoxide:
            return AlarmUnit::ppm;
        default:
            return AlarmUnit::none;
    }
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
    shelved,         ///< put aside by a person for a while, with a reason
    suppressed,      ///< by design: it can't be judged, or another alarm speaks for it
    out_of_service,  ///< taken out by a named person until one puts it back
};
inline constexpr std::size_t kAlarmStates = 10;
std::string_view name(AlarmState state);

/// Not looked at as an alarm for now: by a person's will, or by design.
constexpr bool is_put_aside(AlarmState state) {
    return state == AlarmState::shelved || state == AlarmState::suppressed ||
           state == AlarmState::out_of_service;
}

/// There is an occurrence that a person can look at.
constexpr bool is_present(AlarmState state) {
    return state != AlarmState::unknown && state != AlarmState::normal && !is_put_aside(state);
}

/// Nobody has said yet that they saw it.
constexpr bool waits_for_acknowledgement(AlarmState state) {
    return state == AlarmState::unacknowledged || state == AlarmState::returned_unacknowledged ||
           state == AlarmState::latched_unacknowledged;
}

/// Why an alarm is suppressed, or would not sound now.
enum class SuppressedBy : std::uint8_t {
    nothing,
    no_roast,      ///< it is judged between charge and drop, and nothing is in the drum
    phase,         ///< it is not judged in this part of the roast
    no_target,     ///< it is held against the target, and none is loaded
    probe_fault,   ///< the reading is open or outside its span: it has an alarm of its own
    higher_alarm,  ///< a graver alarm of the same reading is active
};
std::string_view words(SuppressedBy why);

/// Why a shelved alarm came back.
enum class Unshelved : std::uint8_t { by_person, time_over, batch_over };
std::string_view words(Unshelved why);

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
    std::int8_t first = -1;     ///< the one of them that was first
    SuppressedBy suppressed_by = SuppressedBy::nothing;
    Tick until;                 ///< shelved: when it comes back
    bool can_shelve = false;    ///< else it would be refused now
    bool can_take_out = false;  ///< out of service; else it would be refused now
};

/// Who put an alarm aside, and why, in that person's words.
struct PutAsideNote {
    std::string who;
    std::string reason;
    bool operator==(const PutAsideNote&) const = default;
};
/// By rule. Shared, so that a tick copies no text.
using PutAsideNotes = std::array<PutAsideNote, kAlarmRules>;
using PutAsideNotesPtr = std::shared_ptr<const PutAsideNotes>;

/// What the sounder does now.
enum class Pattern : std::uint8_t { off, high, medium, low };
std::string_view name(Pattern pattern);

}  // namespace drumwatch

// Alarms in sentences.
#include <fmt/format.h>

#include <cmath>

#include "core/alarm_advice.hpp"
#include "core/words.hpp"

namespace drumwatch {

namespace {

std::string with_unit(double value, AlarmRule rule) {
    const AlarmUnit unit = unit_of(rule);
    return fmt::format("{:.{}f} {}", value, unit == AlarmUnit::ppm ? 0 : 1, words(unit));
}

std::string members(const AlarmView& alarm, const ChannelTable& channels) {
    const auto name_of = [&](std::size_t i) { return channels[i].name; };
    std::string names;
    std::size_t count = 0;
    for (std::size_t i = 0; i < channels.size(); ++i) {
        if (((alarm.members >> i) & 1u) == 0) continue;
        names += (names.empty() ? "" : ", ") + name_of(i);
        ++count;
    }
    const auto first = static_cast<std::size_t>(alarm.first);
    if (count > 1 && alarm.first >= 0 && first < channels.size())
        names += fmt::format(" (first: {})", name_of(first));
    return names;
}

std::string_view reading_of(AlarmRule rule) {
    switch (rule) {
        case AlarmRule::exhaust_high:
            return "exhaust";
        case AlarmRule::inlet_high:
            return "inlet";
        case AlarmRule::drum_high:
            return "drum";
        case AlarmRule::carbon_monoxide_high:
        case AlarmRule::carbon_monoxide:
            return "carbon monoxide";
        case AlarmRule::cooling_slow:
            return "tray";
        default:
            return "bean";
    }
}

std::string over(const AlarmView& alarm) {
    return fmt::format("{} {}: over {}", reading_of(alarm.rule),
                       with_unit(from_milli(alarm.value_milli), alarm.rule),
                       with_unit(from_milli(alarm.limit_milli), alarm.rule));
}

std::string alarm_event(const Event& event, const char* what) {
    if (event.occurrence == 0) return fmt::format("{} {}", name(event.rule), what);
    return fmt::format("alarm {} {} {}", event.occurrence, name(event.rule), what);
}

/// Only where the rule measures something.
std::string alarm_value(const Event& event) {
    if (unit_of(event.rule) == AlarmUnit::none) return "";
    return fmt::format(" ({})", with_unit(from_milli(event.value_milli), event.rule));
}

}  // namespace

std::string words(const AlarmView& alarm, const ChannelTable& channels) {
    const double value = from_milli(alarm.value_milli);
    const double limit = from_milli(alarm.limit_milli);
    switch (alarm.rule) {
        case AlarmRule::bean_high_high:
        case AlarmRule::bean_high:
        case AlarmRule::exhaust_high:
        case AlarmRule::inlet_high:
        case AlarmRule::drum_high:
        case AlarmRule::carbon_monoxide_high:
        case AlarmRule::carbon_monoxide:
            return over(alarm);
        case AlarmRule::drift:
            return fmt::format("drift: {} {} the target", with_unit(std::fabs(value), alarm.rule),
                               value > 0 ? "over" : "under");
        case AlarmRule::stall:
            return fmt::format("stalled: it rises by {} only", with_unit(value, alarm.rule));
        case AlarmRule::runaway_rise:
            return fmt::format("rises by {}: over {}", with_unit(value, alarm.rule),
                               with_unit(limit, alarm.rule));
        case AlarmRule::drop_overdue:
            return fmt::format("drop overdue: {}", over(alarm));
        case AlarmRule::flame_out:
            return fmt::format("burner may be out: the exhaust falls by {}",
                               with_unit(std::fabs(value), alarm.rule));
        case AlarmRule::oxidiser_cold:
            return fmt::format("oxidiser {}: below {}", with_unit(value, alarm.rule),
                               with_unit(limit, alarm.rule));
        case AlarmRule::cooling_slow:
            return fmt::format("cooling is slow: {}", over(alarm));
        case AlarmRule::bean_probe_fault:
            return fmt::format("bean probe: {}", words(static_cast<Quality>(alarm.value_milli)));
        case AlarmRule::probe_fault:
            return fmt::format("probe fault: {}", members(alarm, channels));
        case AlarmRule::bus_silent:
            return fmt::format("no answer from the bus of {}", members(alarm, channels));
        case AlarmRule::record_failing:
        case AlarmRule::disk_low:
        case AlarmRule::processor_hot:
        case AlarmRule::sounder_failed:
            return std::string(advice(alarm.rule).title);
        case AlarmRule::clock_doubtful:
            return alarm.value_milli != 0 ? "the clock was set: times of day before it may be wrong"
                                          : "the clock is not synchronised";
    }
    return {};
}

std::string words_of_alarm(const Event& event) {
    switch (event.kind) {
        case EventKind::alarm_raised:
            return alarm_event(event, "raised") + alarm_value(event);
        case EventKind::alarm_cleared:
            return alarm_event(event, "cleared");
        case EventKind::alarm_acknowledged:
            return fmt::format("alarm {} acknowledged", event.occurrence);
        case EventKind::alarm_reset:
            return fmt::format("alarm {} reset", event.occurrence);
        case EventKind::alarms_silenced:
            return "alarms silenced";
        case EventKind::alarm_shelved:
            return alarm_event(event, "shelved") +
                   fmt::format(" for {:.0f} min", event.value_milli / 60'000.0);
        case EventKind::alarm_unshelved:
            return alarm_event(event, "back from the shelf") +
                   fmt::format(": {}", words(static_cast<Unshelved>(event.code)));
        case EventKind::alarm_suppressed:
            return alarm_event(event, "suppressed") +
                   fmt::format(": {}", words(static_cast<SuppressedBy>(event.code)));
        case EventKind::alarm_released:
            return alarm_event(event, "no more suppressed");
        case EventKind::alarm_out_of_service:
            return alarm_event(event, "out of service");
        case EventKind::alarm_returned_to_service:
            return alarm_event(event, "back in service");
        case EventKind::alarm_again:
            return alarm_event(event, "calls again: it lasts");
        case EventKind::alarms_flood:
            return event.bad ? "more alarms than a person can answer" : "alarms can be answered again";
        default:
            return {};
    }
}

}  // namespace drumwatch

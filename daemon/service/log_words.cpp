#include "service/log_words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <string_view>

#include "core/alarm_advice.hpp"
#include "core/probe_fault.hpp"
#include "core/words.hpp"

namespace drumwatch {

namespace {

/// The bus that a channel stands on, or "its bus".
std::string bus_of(std::size_t channel, const Config& config) {
    const auto has_it = [&](const BusConfig& bus) {
        return std::any_of(bus.channels.begin(), bus.channels.end(),
                           [&](const ChannelSource& source) { return source.channel == channel; });
    };
    const auto bus = std::find_if(config.buses.begin(), config.buses.end(), has_it);
    return bus == config.buses.end() ? "its bus" : fmt::format("the bus \"{}\"", bus->name);
}

/// What else the quality may come from, by the channel's sensor; empty without one.
std::string sensor_words(Quality quality, std::size_t channel, const Config& config) {
    for (const BusConfig& bus : config.buses) {
        for (const ChannelSource& source : bus.channels) {
            if (source.channel != channel) continue;
            const auto* signal = std::get_if<SignalSource>(&source.sensor);
            const auto* thermocouple = std::get_if<ThermocoupleSource>(&source.sensor);
            if (quality == Quality::out_of_span && signal != nullptr)
                return fmt::format(
                    "; or the signal lies outside {:g} to {:g} (mA or V): a failed transmitter",
                    signal->fault_below, signal->fault_above);
            if (quality == Quality::out_of_span && source.sensor.index() != 0)
                return "; or the sensor can't give what was read: look for a short or a broken wire";
            if (quality == Quality::bad_reply && thermocouple != nullptr && thermocouple->cold_junction)
                return fmt::format("; or its cold junction, \"{}\", has no good reading",
                                   thermocouple->cold_junction->name);
        }
    }
    return {};
}

std::string quality_words(Quality quality, const Channel& channel, const std::string& bus) {
    switch (quality) {
        case Quality::good:
            return "readings are good";
        case Quality::never_read:
            return "no reading has come since the start";
        case Quality::stale:
            return fmt::format("no reading for more than {:g} s: the last one is too old to go by",
                               static_cast<double>(channel.max_age_ms) / 1000);
        case Quality::bus_silent:
            return bus + " does not answer: no readings";
        case Quality::bad_reply:
            return bus + " answers with something that can't be read as a value";
        case Quality::open_circuit:
            return "open circuit";
        case Quality::out_of_span:
            return fmt::format("the value lies outside the span, {:g} to {:g} {}: taken as a fault",
                               from_milli(channel.span_low_milli), from_milli(channel.span_high_milli),
                               symbol(channel.unit));
        case Quality::suspect:
            return "the value jumped faster than it can really move: watched for limits, not gone by yet";
        case Quality::frozen:
            return "the value stands still while the machine's other probes move";
        case Quality::short_circuit:
            return "short circuit: it reads the room's temperature beside a hot machine";
        case Quality::reversed:
            return "it falls when the machine is heated";
    }
    return {};
}

std::string channel_line(const Event& event, const Config& config) {
    const auto at = static_cast<std::size_t>(event.index);
    if (at >= config.channels.size()) return words(event);
    const Channel& channel = config.channels[at];
    const auto quality = static_cast<Quality>(event.value_milli);
    const std::string_view look = look_first(fault_of(quality));
    return fmt::format("{}: {}{}{}{}", channel.name, quality_words(quality, channel, bus_of(at, config)),
                       sensor_words(quality, at, config), look.empty() ? "" : ". ", look);
}

std::string bus_line(const Event& event, const Config& config) {
    const auto at = static_cast<std::size_t>(event.index);
    const std::string name = at < config.buses.size() ? config.buses[at].name : "?";
    return event.bad
               ? fmt::format("the bus \"{}\" does not answer: look at its cable, power and address", name)
               : fmt::format("the bus \"{}\" answers again", name);
}

std::string sounder_line(const Event& event, const Config& config, std::string_view fault) {
    const auto at = static_cast<std::size_t>(event.index);
    const bool known = at < config.sounders.size();
    const std::string name = known ? config.sounders[at].name : "?";
    const std::string why = fault.empty() ? "" : fmt::format(": {}", fault);
    const bool tested = event.health == Health::sounder_tested;
    if (!event.bad)
        return fmt::format("the sounder \"{}\" {}", name,
                           tested ? "was tested and works" : "can be reached again");
    const char* look = known && config.sounders[at].coil
                           ? "look at its cable, its power and the coil's address"
                           : "look at what it is connected to and at the rights of the daemon's user";
    return fmt::format("the sounder \"{}\" {}{}; alarms may not be heard there: {}", name,
                       tested ? "was tested and did not work" : "can't be reached", why, look);
}

std::string health_line(const Event& event, const Config& config, std::string_view fault) {
    switch (event.health) {
        case Health::bus_silent:
            return bus_line(event, config);
        case Health::record_failing:
            return event.bad ? "the record can't be written: following and alarms go on from memory"
                             : "the record is written again";
        case Health::disk_low:
            return event.bad ? "the record's disk is nearly full: make room, or nothing can be recorded soon"
                             : "the record's disk has room again";
        case Health::clock_unsynchronised:
            return event.bad
                       ? "the box's clock is not synchronised: times of day may be wrong, and after a power "
                         "cut it can't be told how long the box was off"
                       : "the box's clock is synchronised";
        case Health::sounder_failed:
        case Health::sounder_tested:
            return sounder_line(event, config, fault);
        case Health::simulated_clock_apart:
            return event.bad ? "the simulated machine's time and the box's run apart"
                             : "the simulated machine's time and the box's agree again";
        case Health::gap_unknown:
            return words(event);
        case Health::clock_stepped:
            return event.bad ? "the box's clock was set: times of day before it may be wrong"
                             : "the box's clock has run on without a step for a minute";
        case Health::probe_check_overdue:
            return event.bad
                       ? "the bean probe's check is overdue: until it is made no roast is better than taste"
                       : "the bean probe's check is made";
        case Health::processor_hot:
            return event.bad ? "the box is too hot: give it air and shade" : "the box is cool again";
    }
    return {};
}

std::string alarm_line(const Event& event, const char* what) {
    std::string line = fmt::format("alarm {} {}: {}", event.occurrence, what, advice(event.rule).title);
    if (event.kind == EventKind::alarm_raised && unit_of(event.rule) != AlarmUnit::none)
        line += fmt::format(", {:.1f} {}", from_milli(event.value_milli), words(unit_of(event.rule)));
    return line;
}

}  // namespace

std::string log_words(const Event& event, const Config& config, std::string_view fault) {
    switch (event.kind) {
        case EventKind::quality_changed:
            return channel_line(event, config);
        case EventKind::health_changed:
            return health_line(event, config, fault);
        case EventKind::alarm_raised:
            return alarm_line(event, "raised");
        case EventKind::alarm_cleared:
            return alarm_line(event, "cleared");
        default:
            return words(event);
    }
}

std::vector<std::string> log_lines(const Event& event, const Snapshot& now, const Config& config,
                                   std::string_view fault) {
    if (event.kind == EventKind::move_judged) return {};
    std::vector<std::string> lines = {log_words(event, config, fault)};
    if (event.kind != EventKind::verdict_given || !now.last_verdict) return lines;
    for (const Reason& reason : now.last_verdict->verdict.reasons)
        lines.push_back("reason: " + words(reason));
    return lines;
}

}  // namespace drumwatch

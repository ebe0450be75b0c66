#include "drivers/sensors/bus_sensors.hpp"

#include <bit>
#include <cmath>

namespace drumwatch {
namespace {

constexpr double kMicrovoltsPerMillivolt = 1000;

/// For a person; `core` has the words of whole events only.
std::string_view fault_words(Quality quality) {
    switch (quality) {
        case Quality::stale:
            return "has no reading that is new enough";
        case Quality::open_circuit:
            return "is open";
        case Quality::out_of_span:
            return "is outside what it can be";
        default:
            return "has no good reading";
    }
}

Reading finished(std::uint8_t channel, const Measured& measured) {
    if (measured.quality != Quality::good) return {channel, 0, measured.quality};
    const auto milli = to_milli(measured.value);
    return milli ? Reading{channel, *milli, Quality::good} : Reading{channel, 0, Quality::bad_reply};
}

}  // namespace

Reading unfinished(const ChannelSource& source, double number) {
    if (std::holds_alternative<ThermocoupleSource>(source.sensor)) {
        const auto nanovolts = to_milli(number * kMicrovoltsPerMillivolt);
        if (!nanovolts) return {source.channel, 0, Quality::out_of_span};
        return {source.channel, *nanovolts, Quality::good};
    }
    const bool whole = std::floor(number) == number && std::fabs(number) <= 4294967295.0;
    if (!whole) return {source.channel, 0, Quality::bad_reply};
    const auto count = static_cast<std::uint32_t>(static_cast<std::int64_t>(number));
    return {source.channel, std::bit_cast<Milli>(count), Quality::good};
}

BusSensors::BusSensors(const BusConfig& bus) {
    for (const ChannelSource& source : bus.channels) {
        if (source.channel >= channels_.size()) continue;
        Channel& channel = channels_[source.channel];
        channel.sensor = source.sensor;
        any_ = any_ || needs_others(source.sensor);
        if (const auto* pulses = std::get_if<PulseSource>(&source.sensor); pulses != nullptr && pulses->count)
            channel.counter.emplace(*pulses);
    }
}

void BusSensors::forget() {
    for (Channel& channel : channels_) {
        channel.newest.reset();
        if (channel.counter) channel.counter->forget();
    }
}

std::string BusSensors::complete(std::vector<Reading>& readings, std::int64_t now_ms) {
    for (const Reading& reading : readings)
        if (reading.channel < channels_.size()) channels_[reading.channel].newest = {reading, now_ms};
    std::string complaint;
    for (Reading& reading : readings) {
        if (reading.channel >= channels_.size() || !is_good(reading.quality)) continue;
        Channel& channel = channels_[reading.channel];
        if (!needs_others(channel.sensor)) continue;
        if (channel.counter) {
            const auto count = std::bit_cast<std::uint32_t>(reading.value_milli);
            reading = finished(reading.channel, channel.counter->take(count, now_ms));
        } else {
            const std::string said =
                complete_thermocouple(std::get<ThermocoupleSource>(channel.sensor), reading, now_ms);
            if (!said.empty()) complaint = said;
        }
    }
    return complaint;
}

std::optional<Quality> BusSensors::cold_junction_fault(const ColdJunctionChannel& cold,
                                                       std::int64_t now_ms) const {
    const auto& newest = channels_[cold.channel].newest;
    if (!newest) return Quality::never_read;
    if (now_ms - newest->at_ms > cold.max_age_ms) return Quality::stale;
    if (!is_good(newest->reading.quality)) return newest->reading.quality;
    const Milli milli = newest->reading.value_milli;
    if (milli < cold.low_milli || milli > cold.high_milli) return Quality::out_of_span;
    return std::nullopt;
}

std::string BusSensors::complete_thermocouple(const ThermocoupleSource& source, Reading& reading,
                                              std::int64_t now_ms) {
    const ColdJunctionChannel& cold = *source.cold_junction;
    if (const auto fault = cold_junction_fault(cold, now_ms)) {
        reading = {reading.channel, 0, Quality::bad_reply};
        return "the cold junction \"" + cold.name + "\" " + std::string(fault_words(*fault)) +
               ": its thermocouples have no temperature without it";
    }
    const double millivolts = from_milli(reading.value_milli) / kMicrovoltsPerMillivolt;
    const double cold_c = from_milli(channels_[cold.channel].newest->reading.value_milli);
    reading = finished(reading.channel, thermocouple_celsius(source, millivolts, cold_c));
    return {};
}

}  // namespace drumwatch

#include "drivers/sensors/sensors.hpp"

#include <type_traits>

#include "drivers/sensors/thermocouple.hpp"

namespace drumwatch {
namespace {

constexpr double kOpenLoopPart = 1.0 / 8;
constexpr double kSecondsPerMinute = 60;

Measured if_there(std::optional<double> value) {
    return value ? Measured{*value, Quality::good} : Measured{0, Quality::out_of_span};
}

}  // namespace

Measured thermocouple_celsius(const ThermocoupleSource& source, double millivolts, double cold_junction_c) {
    const ThermocoupleType* const type = thermocouple_type(source.type);
    if (type == nullptr) return {0, Quality::bad_reply};
    return if_there(celsius_from_millivolts(*type, millivolts, cold_junction_c));
}

Measured signal_value(const SignalSource& source, double signal) {
    if (source.low > 0 && signal < source.low * kOpenLoopPart) return {0, Quality::open_circuit};
    if (!(signal >= source.fault_below && signal <= source.fault_above)) return {0, Quality::out_of_span};
    const double part = (signal - source.low) / (source.high - source.low);
    const double range = source.upper_range_value - source.lower_range_value;
    return {source.lower_range_value + part * range, Quality::good};
}

bool needs_others(const SensorSource& sensor) {
    if (const auto* thermocouple = std::get_if<ThermocoupleSource>(&sensor))
        return thermocouple->cold_junction.has_value();
    const auto* pulses = std::get_if<PulseSource>(&sensor);
    return pulses != nullptr && pulses->count;
}

Measured measure(const SensorSource& sensor, double number) {
    return std::visit(
        [number](const auto& source) -> Measured {
            using Source = std::decay_t<decltype(source)>;
            if constexpr (std::is_same_v<Source, ThermocoupleSource>)
                return thermocouple_celsius(source, number, source.cold_junction_c);
            else if constexpr (std::is_same_v<Source, RtdSource>)
                return if_there(celsius_from_ohms(source.type, number));
            else if constexpr (std::is_same_v<Source, SignalSource>)
                return signal_value(source, number);
            else if constexpr (std::is_same_v<Source, PulseSource>)
                return {number * kSecondsPerMinute / source.per_turn, Quality::good};
            else
                return {number, Quality::good};
        },
        sensor);
}

}  // namespace drumwatch

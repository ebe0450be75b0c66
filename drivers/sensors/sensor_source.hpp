// What stands at the end of a channel's wire, as the configuration states it: plain data, part of a
// ChannelSource (drivers/bus.hpp).
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <variant>

#include "core/milli.hpp"
#include "drivers/sensors/rtd.hpp"

namespace drumwatch {

/// The channel of the same bus that measures where the thermocouple's wires end.
struct ColdJunctionChannel {
    std::uint8_t channel = 0;  ///< index into the ChannelTable
    std::string name;
    Milli low_milli = -40'000;  ///< outside these it is not believed; thousandths of a degree Celsius
    Milli high_milli = 125'000;
    std::int64_t max_age_ms = 3000;  ///< an older reading is none
    friend bool operator==(const ColdJunctionChannel&, const ColdJunctionChannel&) = default;
};

/// Millivolts at the terminals.
struct ThermocoupleSource {
    char type = 'K';
    double cold_junction_c = 0;                        ///< where no channel measures it
    std::optional<ColdJunctionChannel> cold_junction;  ///< wins
    friend bool operator==(const ThermocoupleSource&, const ThermocoupleSource&) = default;
};

/// Ohms.
struct RtdSource {
    RtdType type = RtdType::pt100;
    friend bool operator==(const RtdSource&, const RtdSource&) = default;
};

/// A straight line from milliamperes or volts to the channel's unit. Range values as in ANSI/ISA-51.1 (from
/// memory): what is measured at either end of the signal.
struct SignalSource {
    double low = 4;
    double high = 20;
    double lower_range_value = 0;
    double upper_range_value = 100;
    double fault_below = 3.6;  ///< under and over these a transmitter says that it has failed
    double fault_above = 21;
    friend bool operator==(const SignalSource&, const SignalSource&) = default;
};

/// NAMUR NE 43 (from memory): 3.6 and 21 mA of 4 to 20, and as far outside any other signal.
constexpr double usual_fault_below(double low, double high) { return low - (high - low) * 0.025; }
constexpr double usual_fault_above(double low, double high) { return high + (high - low) * 0.0625; }

/// Pulses of a turning part: hertz, or a counter that goes round.
struct PulseSource {
    double per_turn = 1;
    bool count = false;
    int bits = 32;  ///< of the counter: 16 or 32
    friend bool operator==(const PulseSource&, const PulseSource&) = default;
};

/// Nothing: the number is the value.
using SensorSource = std::variant<std::monostate, ThermocoupleSource, RtdSource, SignalSource, PulseSource>;

/// What the number is in, once scaled; the channel's own unit is one for each quantity (core/channel.hpp).
enum class SourceUnit : std::uint8_t { own, fahrenheit, kelvin, bar, millibar, pascal, kilogram };

/// To degrees Celsius, kPa or g, by definition of the units.
constexpr double in_channel_unit(SourceUnit unit, double value) {
    switch (unit) {
        case SourceUnit::own:
            return value;
        case SourceUnit::fahrenheit:
            return (value - 32.0) / 1.8;
        case SourceUnit::kelvin:
            return value - 273.15;
        case SourceUnit::bar:
            return value * 100;
        case SourceUnit::millibar:
            return value / 10;
        case SourceUnit::pascal:
            return value / 1000;
        case SourceUnit::kilogram:
            return value * 1000;
    }
    return value;
}

}  // namespace drumwatch

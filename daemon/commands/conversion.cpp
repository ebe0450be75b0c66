#include "commands/conversion.hpp"

#include <fmt/format.h>

#include <cmath>

#include "drivers/sensors/tolerance_class.hpp"

namespace drumwatch {
namespace {

int decimals(const Conversion& conversion) { return conversion.to_celsius ? 4 : 6; }

std::optional<double> with_thermocouple(const Conversion& conversion, double number) {
    if (conversion.to_celsius)
        return celsius_from_millivolts(*conversion.thermocouple, number + conversion.cold_junction_mv);
    const auto millivolts = millivolts_from_celsius(*conversion.thermocouple, number);
    if (!millivolts) return std::nullopt;
    return *millivolts - conversion.cold_junction_mv;
}

}  // namespace

std::optional<double> convert(const Conversion& conversion, double number) {
    if (conversion.thermocouple != nullptr) return with_thermocouple(conversion, number);
    return conversion.to_celsius ? celsius_from_ohms(conversion.rtd, number)
                                 : ohms_from_celsius(conversion.rtd, number);
}

std::string_view unit_in(const Conversion& conversion) {
    if (!conversion.to_celsius) return "°C";
    return conversion.thermocouple != nullptr ? "mV" : "ohm";
}

std::string_view unit_out(const Conversion& conversion) {
    if (conversion.to_celsius) return "°C";
    return conversion.thermocouple != nullptr ? "mV" : "ohm";
}

std::string in_digits(const Conversion& conversion, double value) {
    const double least = 0.5 * std::pow(10.0, -decimals(conversion));
    return fmt::format("{:.{}f}", std::fabs(value) < least ? 0.0 : value, decimals(conversion));
}

std::string sensor_name(const Conversion& conversion) {
    if (conversion.thermocouple != nullptr) return fmt::format("type {}", conversion.thermocouple->letter);
    return conversion.rtd == RtdType::pt100 ? "pt100" : "pt1000";
}

std::string range_in(const Conversion& conversion) {
    const bool thermocouple = conversion.thermocouple != nullptr;
    if (thermocouple && conversion.to_celsius) {
        const ThermocoupleRange& range = conversion.thermocouple->range;
        return fmt::format("{:.3f} to {:.3f} mV", range.low_mv - conversion.cold_junction_mv,
                           range.high_mv - conversion.cold_junction_mv);
    }
    if (conversion.to_celsius)
        return fmt::format("{:.2f} to {:.2f} ohm", ohms_from_celsius(conversion.rtd, kRtdLow_c).value_or(0),
                           ohms_from_celsius(conversion.rtd, kRtdHigh_c).value_or(0));
    if (thermocouple)
        return fmt::format("{:g} to {:g} °C", conversion.thermocouple->range.low_c,
                           conversion.thermocouple->range.high_c);
    return fmt::format("{:g} to {:g} °C", kRtdLow_c, kRtdHigh_c);
}

std::vector<ClassThatHolds> classes_at(const Conversion& conversion, double celsius) {
    std::vector<ClassThatHolds> classes;
    if (conversion.thermocouple != nullptr) {
        for (int number = 1; number <= kThermocoupleClasses; ++number)
            if (const auto tolerance =
                    thermocouple_tolerance(conversion.thermocouple->letter, number, celsius))
                classes.push_back({std::to_string(number), *tolerance});
        return classes;
    }
    for (std::size_t i = 0; i < kRtdClassNames.size(); ++i) {
        const auto wire = rtd_tolerance(static_cast<RtdClass>(i), RtdBuild::wire_wound, celsius);
        const auto film = rtd_tolerance(static_cast<RtdClass>(i), RtdBuild::thin_film, celsius);
        if (wire || film)
            classes.push_back(
                {std::string(kRtdClassNames[i]), wire ? *wire : *film, wire.has_value(), film.has_value()});
    }
    return classes;
}

std::string_view tolerance_standard(const Conversion& conversion) {
    return conversion.thermocouple != nullptr ? "IEC 60584-1" : "IEC 60751";
}

}  // namespace drumwatch

// One conversion of `drumwatch convert`: a number of a sensor to degrees, or back, and how far the sensor as
// delivered may be off there.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "drivers/sensors/rtd.hpp"
#include "drivers/sensors/thermocouple.hpp"

namespace drumwatch {

struct Conversion {
    const ThermocoupleType* thermocouple = nullptr;  ///< nothing: `rtd`
    RtdType rtd = RtdType::pt100;
    bool to_celsius = true;
    double cold_junction_c = 0;
    /// emf of the cold junction, millivolts; filled in by whoever checks that it has one.
    double cold_junction_mv = 0;
};

/// Nothing where it is outside what the sensor has.
std::optional<double> convert(const Conversion& conversion, double number);

/// "mV", "ohm" or "°C": of what goes in, and of what comes out.
std::string_view unit_in(const Conversion& conversion);
std::string_view unit_out(const Conversion& conversion);
/// mV and ohm to 6 decimals, °C to 4; never "-0.0000".
std::string in_digits(const Conversion& conversion, double value);
/// "type K" or "pt100"
std::string sensor_name(const Conversion& conversion);
/// What may go in, as in "-6.458 to 54.886 mV".
std::string range_in(const Conversion& conversion);

struct ClassThatHolds {
    std::string name;  ///< "1", "AA"
    double plus_minus_c = 0;
    bool wire_wound = true;  ///< always both for a thermocouple
    bool thin_film = true;
};
std::vector<ClassThatHolds> classes_at(const Conversion& conversion, double celsius);
std::string_view tolerance_standard(const Conversion& conversion);

}  // namespace drumwatch

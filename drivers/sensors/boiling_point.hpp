// The temperature at which water boils, for checking a probe in it. PURE; any thread.
//
// From the pressure: IAPWS Industrial Formulation 1997 (IAPWS R7-97(2012)), saturation-temperature equation
// of region 4 (its equation 31). From the altitude: the pressure of the standard atmosphere (ISO 2533:1975,
// lower layer), which the weather moves by some 20 hPa either way: 0.6 °C of boiling point.
#pragma once

#include <optional>

namespace drumwatch {

/// hPa, for 300 to 1200 hPa; nothing outside.
std::optional<double> boiling_point_c(double pressure_hpa);

/// hPa at that altitude in metres, -500 to 5000; nothing outside.
std::optional<double> standard_pressure_hpa(double altitude_m);

}  // namespace drumwatch

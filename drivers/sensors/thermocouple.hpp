// Thermocouples: emf in millivolts to temperature in degrees Celsius (ITS-90) and back.
//
// PURE; any thread; no allocation. Nothing comes back for a number outside the type's range, or one that is
// no number.
//
// Source: G. W. Burns, M. G. Scroger, G. F. Strouse, M. C. Croarkin, W. F. Guthrie,
// "Temperature-Electromotive Force Reference Functions and Tables for the Letter-Designated Thermocouple
// Types Based on the ITS-90", NIST Monograph 175 (1993), and NIST Standard Reference Database 60, which
// reproduces it. Both are works of the United States government.
//   direct    E(t) = sum of c_i t^i, for type K above 0 degrees plus a0 * exp(a1 * (t - a2)^2). This is the
//             definition.
//   inverse   the published approximation (type K: within 0.06 degrees from -200) gives a first guess;
//   Newton's
//             method on the direct function gives the answer, so that back and forth agree within 1e-6
//             degrees down to -270, where the approximation does not reach.
// Type K from -270 to 1372 degrees. A type is an entry of the table in thermocouple.cpp; only K is there yet.
#pragma once

#include <optional>

namespace drumwatch {

/// One entry of the table; lives as long as the program.
struct ThermocoupleType;

/// nullptr for a letter that is not in the table.
const ThermocoupleType* thermocouple_type(char letter);

struct ThermocoupleRange {
    double low_c = 0;
    double high_c = 0;
    double low_mv = 0;
    double high_mv = 0;
};
ThermocoupleRange thermocouple_range(const ThermocoupleType& type);

/// Tables print a microvolt: a value that far outside the range's end still means the end.
inline constexpr double kEndRoundingMv = 0.0005;

/// Reference junction at 0 degrees.
std::optional<double> millivolts_from_celsius(const ThermocoupleType& type, double celsius);
std::optional<double> celsius_from_millivolts(const ThermocoupleType& type, double millivolts);

/// With the terminals at `cold_junction_c`: emf is added, never degrees.
std::optional<double> celsius_from_millivolts(const ThermocoupleType& type, double millivolts,
                                              double cold_junction_c);

}  // namespace drumwatch

// Thermocouples of types K, J, T, E, N, R, S and B: emf in millivolts to temperature in degrees Celsius
// (ITS-90) and back.
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
//   inverse   the published approximation (within 0.06 degrees, from -200 on; J -210, R and S -50) gives a
//             first guess; Newton's method on the direct function gives the answer, within 1e-6 degrees of
//             the definition. Below the approximation's end (K, T, E, N to -270, where the curves are nearly
//             flat) the answer is searched between two temperatures that enclose it.
// Ranges: K -270 to 1372, J -210 to 1200, T -270 to 400, E -270 to 1000, N -270 to 1300, R and S -50 to
// 1768.1, B 0 to 1820. Type B falls before it rises (-0.0026 mV near 21 degrees): it has no inverse below
// 0.291 mV (250 degrees), but a cold junction at room temperature has its emf all the same.
#pragma once

#include <optional>
#include <string_view>

namespace drumwatch {

/// Degrees of the direct function, millivolts of the inverse.
struct ThermocoupleRange {
    double low_c = 0;
    double high_c = 0;
    double low_mv = 0;
    double high_mv = 0;
};

/// One entry of the table; lives as long as the program. Call it by the functions below: here, nothing is
/// not-a-number.
struct ThermocoupleType {
    char letter = 0;
    ThermocoupleRange range;
    double (*millivolts)(double celsius) = nullptr;
    double (*celsius)(double millivolts) = nullptr;
    double (*published_celsius)(double millivolts) = nullptr;
};

inline constexpr std::string_view kThermocoupleLetters = "KJTENRSB";
/// nullptr for a letter that is not in the table.
const ThermocoupleType* thermocouple_type(char letter);

/// Tables print a microvolt: a value that far outside the range's end still means the end.
inline constexpr double kEndRoundingMv = 0.0005;

inline std::optional<double> if_number(double value) {
    return value == value ? std::optional(value) : std::nullopt;
}

/// Reference junction at 0 degrees.
inline std::optional<double> millivolts_from_celsius(const ThermocoupleType& type, double celsius) {
    return if_number(type.millivolts(celsius));
}
inline std::optional<double> celsius_from_millivolts(const ThermocoupleType& type, double millivolts) {
    return if_number(type.celsius(millivolts));
}

/// The published approximation alone, with its own error (up to 0.06 degrees), for where time counts. Nothing
/// below its end, where celsius_from_millivolts still answers.
inline std::optional<double> celsius_by_published_inverse(const ThermocoupleType& type, double millivolts) {
    return if_number(type.published_celsius(millivolts));
}

/// With the terminals at `cold_junction_c`: emf is added, never degrees.
std::optional<double> celsius_from_millivolts(const ThermocoupleType& type, double millivolts,
                                              double cold_junction_c);

}  // namespace drumwatch

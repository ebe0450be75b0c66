// Platinum resistance thermometers Pt100 and Pt1000: ohms to degrees Celsius and back.
//
// PURE; any thread; no allocation. -200 to 850 degrees; nothing comes back for a number outside, or one that
// is no number.
//
// Source: IEC 60751 (2008 and 2022; the relation is that of 1983), Callendar-Van Dusen form, R0 = 100 or 1000
// ohm: from 0 degrees R = R0 (1 + A t + B t^2), below R = R0 (1 + A t + B t^2 + C (t - 100) t^3). The
// standard was not at hand: coefficients from public tables that cite it. For platinum of 0.003851 a degree;
// other platinum (0.003916, 0.00392) needs other coefficients.
#pragma once

#include <cstdint>
#include <optional>

namespace drumwatch {

enum class RtdType : std::uint8_t { pt100, pt1000 };

inline constexpr double kRtdLow_c = -200;
inline constexpr double kRtdHigh_c = 850;

std::optional<double> ohms_from_celsius(RtdType type, double celsius);
/// The root of the square for 0 degrees and above, Newton's method below: within 1e-6 degrees of the
/// definition. A value as far outside the ends as tables round (0.005 ohm in 100) still means the end.
std::optional<double> celsius_from_ohms(RtdType type, double ohms);

}  // namespace drumwatch

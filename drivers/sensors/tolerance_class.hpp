// How far a sensor as delivered may be from its table: the tolerance classes of the standards.
//
// PURE; any thread. Nothing comes back where a class does not hold.
//
// Sources: thermocouples IEC 60584-1 (2013; classes as in IEC 60584-2 of 1982 with Amendment 1): the larger
// of a fixed value and a part of |t|. Types R, S and B from memory. Resistance thermometers IEC 60751 (2008,
// 2022): the sum of a fixed value and a part of |t|; class C's thin-film range from memory. The standards
// were not at hand: figures from public tables that cite them. ASTM E230 has other limits.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string_view>

namespace drumwatch {

inline constexpr int kThermocoupleClasses = 3;
/// +- degrees Celsius for class 1, 2 or 3. Class 3 is wire for the cold, ordered as such.
std::optional<double> thermocouple_tolerance(char type, int tolerance_class, double celsius);

enum class RtdClass : std::uint8_t { aa, a, b, c };
inline constexpr std::array<std::string_view, 4> kRtdClassNames{"AA", "A", "B", "C"};
/// A class holds over another range for either kind of resistor.
enum class RtdBuild : std::uint8_t { wire_wound, thin_film };
std::optional<double> rtd_tolerance(RtdClass tolerance_class, RtdBuild build, double celsius);

}  // namespace drumwatch

// A value is rounded once, where it enters, to whole thousandths of its channel's unit; everything after
// that, the record included, sees this integer.
#pragma once

#include <cmath>
#include <cstdint>
#include <limits>
#include <optional>

namespace drumwatch {

using Milli = std::int32_t;

/// Nearest whole thousandth, half away from zero; nothing for NaN, infinity or what does not fit (about +-2.1
/// million).
inline std::optional<Milli> to_milli(double value) {
    const double scaled = std::round(value * 1000.0);
    if (!(std::fabs(scaled) <= static_cast<double>(std::numeric_limits<Milli>::max()))) return std::nullopt;
    return static_cast<Milli>(scaled);
}

constexpr double from_milli(Milli milli) { return static_cast<double>(milli) / 1000.0; }

}  // namespace drumwatch

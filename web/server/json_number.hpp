// Numbers on their way into JSON: whole thousandths, and null for what is not known.
#pragma once

#include <cmath>
#include <optional>

namespace drumwatch {

/// Nearest thousandth; nothing for NaN and infinity, which JSON can't say.
inline std::optional<double> thousandth(std::optional<double> value) {
    if (!value || !std::isfinite(*value)) return std::nullopt;
    const double rounded = std::round(*value * 1000.0) / 1000.0;
    return rounded == 0 ? 0.0 : rounded;  // no "-0.0"
}

}  // namespace drumwatch

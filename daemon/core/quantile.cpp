#include "core/quantile.hpp"

#include <algorithm>

namespace drumwatch {

std::optional<double> quantile(std::vector<double> values, double share) {
    if (values.empty()) return std::nullopt;
    std::sort(values.begin(), values.end());
    const double place = share * static_cast<double>(values.size() - 1);
    const auto below = static_cast<std::size_t>(place);
    const std::size_t above = std::min(below + 1, values.size() - 1);
    return values[below] + (values[above] - values[below]) * (place - static_cast<double>(below));
}

}  // namespace drumwatch

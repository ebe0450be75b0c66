#include "roast/target/robust.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace drumwatch {

double median(std::vector<double> values) {
    if (values.empty()) return 0;
    std::sort(values.begin(), values.end());
    const std::size_t half = values.size() / 2;
    return values.size() % 2 == 1 ? values[half] : (values[half - 1] + values[half]) / 2;
}

double robust_spread(const std::vector<double>& values) {
    constexpr double kNormal = 1.4826;
    constexpr std::array kOfFew = {1.196, 1.495, 1.363, 1.206, 1.200, 1.140, 1.129, 1.107};  // 2 to 9 values
    const std::size_t count = values.size();
    if (count < 2) return 0;
    const double middle = median(values);
    std::vector<double> off;
    for (const double value : values) off.push_back(std::fabs(value - middle));
    const auto n = static_cast<double>(count);
    const double factor = count - 2 < kOfFew.size() ? kOfFew[count - 2] : n / (n - 0.8);
    return kNormal * factor * median(std::move(off));
}

}  // namespace drumwatch

#include "roast/verdict/end_temperature.hpp"

#include <algorithm>
#include <cmath>

#include "core/fixed_list.hpp"

namespace drumwatch {

namespace {
constexpr double kSpike_c = 4;  // no bean temperature is so far from those some seconds before and after
constexpr std::int64_t kEnd_ms = static_cast<std::int64_t>(kEnd_s * 1000);
}  // namespace

std::optional<double> end_temperature(const Trace& trace, Tick drop) {
    FixedList<double, 128> last;
    const auto& entries = trace.entries();
    auto first = entries.end();
    while (first != entries.begin() && drop - (first - 1)->at <= kEnd_ms) --first;
    for (; first != entries.end() && first->at <= drop; ++first)
        if (first->good) last.push_back(static_cast<double>(first->raw_c));
    if (last.empty()) return std::nullopt;
    const auto middle = last.begin() + last.size() / 2;
    std::nth_element(last.begin(), middle, last.end());
    const double middle_c = *middle;
    double sum = 0;
    int count = 0;
    for (const double bean_c : last) {
        if (std::fabs(bean_c - middle_c) > kSpike_c) continue;
        sum += bean_c;
        ++count;
    }
    return sum / count;
}

}  // namespace drumwatch

#include "drivers/link_counters.hpp"

#include <algorithm>

namespace drumwatch {

std::int64_t TripWindow::median_us() const {
    auto sorted = trips_us_;
    const auto end = sorted.begin() + static_cast<std::ptrdiff_t>(std::min(taken_, kTripWindow));
    if (end == sorted.begin()) return 0;
    const auto middle = sorted.begin() + (end - sorted.begin()) / 2;
    std::nth_element(sorted.begin(), middle, end);
    return *middle;
}

}  // namespace drumwatch

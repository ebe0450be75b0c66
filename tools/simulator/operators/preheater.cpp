#include "simulator/operators/preheater.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <numeric>

namespace drumwatch::simulator {
namespace {

constexpr double kPerDegree_pct = 7.0;
constexpr double kPerSlope_pct = 80.0;
constexpr double kPerDegreeSecond_pct = 0.02;
constexpr double kClose_c = 0.5;
constexpr double kIdle_pct = 20.0;  ///< while the discharge door is open
constexpr double kSettle_s = 5.0;
constexpr std::size_t kLookBack = 8;
constexpr double kSteady_c_s = 0.06;

}  // namespace

/// From the means of the older and the newer half of what was seen: noise must not drive the burner.
double Preheater::slope_c_s() const {
    const std::size_t half = seen_c_.size() / 2;
    if (half == 0) return 0.0;
    const auto middle = seen_c_.begin() + static_cast<std::ptrdiff_t>(half);
    const double older_c = std::accumulate(seen_c_.begin(), middle, 0.0) / static_cast<double>(half);
    const double newer_c =
        std::accumulate(middle, middle + static_cast<std::ptrdiff_t>(half), 0.0) / static_cast<double>(half);
    return (newer_c - older_c) / static_cast<double>(half);
}

void Preheater::act(Floor& floor, double target_c) {
    const std::int64_t now_ms = floor.sim_ms();
    if (looked_ms_ && now_ms - *looked_ms_ < 1000) return;
    const double reading_c = floor.bean_reading_c();
    const bool door_open =
        floor.since_drop_s() && *floor.since_drop_s() < floor.machine().door_open_s + kSettle_s;
    if (door_open) return floor.set_burner(kIdle_pct);
    if (!std::isfinite(reading_c)) return;
    looked_ms_ = now_ms;
    seen_c_.push_back(reading_c);
    if (seen_c_.size() > kLookBack) seen_c_.pop_front();
    const double short_c = target_c - reading_c;
    if (std::fabs(short_c) < 8.0) sum_pct_ += kPerDegreeSecond_pct * short_c;
    if (holding_for_c_ != target_c) holding_pct_ = floor.holding_burner_pct(target_c);
    holding_for_c_ = target_c;
    const double pct = holding_pct_ + sum_pct_ + kPerDegree_pct * short_c - kPerSlope_pct * slope_c_s();
    floor.set_burner(std::round(std::clamp(pct, 0.0, 90.0)));
    const bool close = std::fabs(short_c) < kClose_c && std::fabs(slope_c_s()) < kSteady_c_s;
    held_s_ = close ? held_s_ + 1 : 0;
}

}  // namespace drumwatch::simulator

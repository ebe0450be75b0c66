#include "simulator/operators/preheater.hpp"

#include <algorithm>
#include <cmath>

namespace drumwatch::simulator {
namespace {

constexpr double kFirstGuess_pct = 40.0;
constexpr double kPerDegree_pct = 3.0;
constexpr double kPerSlope_pct = 60.0;
constexpr double kPerDegreeSecond_pct = 0.06;
constexpr double kClose_c = 0.4;
constexpr double kSteady_c_s = 0.06;

}  // namespace

void Preheater::act(Floor& floor, double target_c) {
    const std::int64_t now_ms = floor.sim_ms();
    if (looked_ms_ && now_ms - *looked_ms_ < 1000) return;
    const double reading_c = floor.bean_reading_c();
    if (!std::isfinite(reading_c)) return;
    if (looked_ms_) slope_c_s_ += 0.3 * ((reading_c - last_c_) - slope_c_s_);
    looked_ms_ = now_ms;
    last_c_ = reading_c;
    const double short_c = target_c - reading_c;
    if (std::fabs(short_c) < 8.0) sum_pct_ += kPerDegreeSecond_pct * short_c;
    const double pct = kFirstGuess_pct + sum_pct_ + kPerDegree_pct * short_c - kPerSlope_pct * slope_c_s_;
    floor.set_burner(std::round(std::clamp(pct, 0.0, 90.0)));
    const bool close = std::fabs(short_c) < kClose_c && std::fabs(slope_c_s_) < kSteady_c_s;
    held_s_ = close ? held_s_ + 1 : 0;
}

}  // namespace drumwatch::simulator

#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "roast/signal/signal.hpp"

namespace drumwatch {

namespace {
constexpr std::int64_t kLeast_ms = 10'000;
constexpr int kLeastReadings = 8;
constexpr double kLeastRise_per_min = 3;
constexpr Milli kLeastMove = 1'200;
constexpr Milli kExhaustRises = 500;
constexpr std::int64_t kLong_ms = 90'000;
constexpr Milli kExhaustMoves = 3'000;
constexpr Milli kSteps = 3;
constexpr Milli kStepsUnsure = 7;
constexpr Milli kStepsFalling = 10;
}  // namespace

Milli StandStill::moves_at_least(std::optional<Milli> exhaust) const {
    const bool goes_on = exhaust && exhaust_ && *exhaust - *exhaust_ >= kExhaustRises;
    const Milli steps = rise_per_min_ < 0 ? kStepsFalling : goes_on ? kSteps : kStepsUnsure;
    return std::max(kLeastMove, steps * step_);
}

void StandStill::add(Tick now, Milli value, double rise_per_min, std::optional<Milli> exhaust) {
    if (value_ != value) {
        const Milli change = value_ ? std::abs(value - *value_) : 0;
        if (change > 0) step_ = step_ == 0 ? change : std::min(step_, change);
        value_ = value;
        since_ = now;
        same_ = 0;
        rise_per_min_ = rise_per_min;
        exhaust_ = exhaust;
        frozen_ = false;
        return;
    }
    ++same_;
    if (frozen_ || same_ < kLeastReadings || now - since_ < kLeast_ms) return;
    if (now - since_ >= kLong_ms && exhaust && exhaust_ && std::abs(*exhaust - *exhaust_) >= kExhaustMoves)
        frozen_ = true;
    if (std::fabs(rise_per_min_) < kLeastRise_per_min) return;
    const double would_move = std::fabs(rise_per_min_) / 60 * static_cast<double>(now - since_);
    frozen_ = frozen_ || would_move >= static_cast<double>(moves_at_least(exhaust));
}

}  // namespace drumwatch

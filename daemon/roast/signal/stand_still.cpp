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
constexpr std::int64_t kDoubted_ms = 6'000;
constexpr double kStepsDoubted = 1.5;
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
        doubtful_ = false;
        exhaust_falls_ = false;
        return;
    }
    ++same_;
    const std::int64_t stands_ms = now - since_;
    if (frozen_ || stands_ms < kDoubted_ms) return;
    const double would_move = std::fabs(rise_per_min_) / 60 * static_cast<double>(stands_ms);
    exhaust_falls_ = exhaust && exhaust_ && *exhaust_ - *exhaust >= kExhaustMoves;
    doubtful_ = step_ > 0 && stands_ms < kLong_ms && would_move >= kStepsDoubted * static_cast<double>(step_);
    if (same_ < kLeastReadings || stands_ms < kLeast_ms) return;
    if (stands_ms >= kLong_ms && exhaust && exhaust_ && std::abs(*exhaust - *exhaust_) >= kExhaustMoves)
        frozen_ = true;
    if (std::fabs(rise_per_min_) < kLeastRise_per_min) return;
    frozen_ = frozen_ || would_move >= static_cast<double>(moves_at_least(exhaust));
    doubtful_ = doubtful_ && !frozen_;
}

}  // namespace drumwatch

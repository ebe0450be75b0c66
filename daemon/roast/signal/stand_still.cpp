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
constexpr double kExhaustRises_c = 0.5;
constexpr std::int64_t kLong_ms = 90'000;
constexpr double kExhaustMoves_c = 3;
constexpr Milli kSteps = 3;
constexpr Milli kStepsUnsure = 7;
constexpr Milli kStepsFalling = 10;
constexpr std::int64_t kDoubted_ms = 6'000;
constexpr double kStepsDoubted = 1.5;
constexpr Milli kStepsThawed = 2;
}  // namespace

/// What the exhaust has moved by since the reading changed last.
std::optional<double> StandStill::exhaust_moved(std::optional<double> exhaust_c) const {
    return exhaust_c && exhaust_c_ ? std::optional(*exhaust_c - *exhaust_c_) : std::nullopt;
}

Milli StandStill::moves_at_least(std::optional<double> exhaust_moved_c) const {
    const bool goes_on = exhaust_moved_c && *exhaust_moved_c >= kExhaustRises_c;
    const Milli steps = rise_per_min_ < 0 ? kStepsFalling : goes_on ? kSteps : kStepsUnsure;
    return std::max(kLeastMove, steps * step_);
}

void StandStill::change_to(Tick now, Milli value, double rise_per_min, std::optional<double> exhaust_c) {
    const Milli change = value_ ? std::abs(value - *value_) : 0;
    if (change > 0) step_ = step_ == 0 ? change : std::min(step_, change);
    if ((frozen_ || stands_) && change >= kStepsThawed * step_) {
        settles_ = true;
        settles_until_ = now + Smoother::kWindowMs;
    }
    value_ = value;
    since_ = now;
    same_ = 0;
    rise_per_min_ = rise_per_min;
    exhaust_c_ = exhaust_c;
    frozen_ = false;
    stands_ = false;
    exhaust_falls_ = false;
}

void StandStill::add(Tick now, Milli value, double rise_per_min, std::optional<double> exhaust_c) {
    if (settles_) settles_ = now < settles_until_;
    if (value_ != value) return change_to(now, value, rise_per_min, exhaust_c);
    ++same_;
    const std::int64_t stands_ms = now - since_;
    if (frozen_ || stands_ms < kDoubted_ms) return;
    const double would_move = std::fabs(rise_per_min_) / 60 * static_cast<double>(stands_ms);
    const auto moved_c = exhaust_moved(exhaust_c);
    exhaust_falls_ = moved_c && *moved_c <= -kExhaustMoves_c;
    stands_ = step_ > 0 && stands_ms < kLong_ms && would_move >= kStepsDoubted * static_cast<double>(step_);
    if (same_ < kLeastReadings || stands_ms < kLeast_ms) return;
    if (stands_ms >= kLong_ms && moved_c && std::fabs(*moved_c) >= kExhaustMoves_c) frozen_ = true;
    if (std::fabs(rise_per_min_) < kLeastRise_per_min) return;
    frozen_ = frozen_ || would_move >= static_cast<double>(moves_at_least(moved_c));
    stands_ = stands_ && !frozen_;
}

}  // namespace drumwatch

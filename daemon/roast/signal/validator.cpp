#include <cmath>

#include "roast/signal/signal.hpp"

namespace drumwatch {

namespace {
// A bean probe falls at most some 10 C/s at charge; nothing in a machine moves a probe in a well faster.
// Judgement.
constexpr double kJumpPerSecond = 25;
constexpr double kJumpAtLeast = 8;
}  // namespace

Validator::Validator(const Channel& channel)
    : low_(channel.span_low_milli),
      high_(channel.span_high_milli),
      temperature_(channel.unit == Unit::celsius) {}

bool Validator::jumped(double value, Tick now) const {
    if (!temperature_ || !last_) return false;
    const double dt = seconds_between(last_at_, now);
    return std::fabs(value - *last_) > std::fmax(kJumpAtLeast, kJumpPerSecond * dt);
}

Quality Validator::judge(const Sample& sample, Tick now) {
    if (sample.quality != Quality::good) return held_ = sample.quality;
    if (!sample.fresh) return held_;
    if (sample.value_milli < low_ || sample.value_milli > high_) return held_ = Quality::out_of_span;
    const double value = from_milli(sample.value_milli);
    const bool confirmed = odd_ && std::fabs(value - *odd_) <= kJumpAtLeast;
    if (jumped(value, now) && !confirmed) {
        odd_ = value;
        return held_ = Quality::suspect;
    }
    odd_.reset();
    last_ = value;
    last_at_ = now;
    return held_ = Quality::good;
}

}  // namespace drumwatch

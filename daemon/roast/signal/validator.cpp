#include <algorithm>
#include <cstdlib>

#include "roast/signal/signal.hpp"

namespace drumwatch {

namespace {
// A bean probe falls at most some 10 C/s at charge; nothing in a machine moves a probe in a well faster.
// Judgement.
constexpr std::int64_t kJump_milli_per_ms = 25;  // 25 C/s
constexpr std::int64_t kJumpAtLeast = 8'000;
}  // namespace

Validator::Validator(const Channel& channel)
    : low_(channel.span_low_milli),
      high_(channel.span_high_milli),
      temperature_(channel.unit == Unit::celsius) {}

bool Validator::jumped(Milli value, Tick now) const {
    const std::int64_t way = std::abs(std::int64_t{value} - last_);
    return way > kJumpAtLeast && way > kJump_milli_per_ms * (now - last_at_);
}

Quality Validator::judge(const Sample& sample, Tick now) {
    if (sample.quality != Quality::good) return held_ = sample.quality;
    if (!sample.fresh) return held_;
    const Milli value = sample.value_milli;
    if (value < low_ || value > high_) return held_ = Quality::out_of_span;
    if (temperature_ && known_ && jumped(value, now)) {
        const bool confirmed = odd_ && std::abs(std::int64_t{value} - *odd_) <= kJumpAtLeast;
        if (!confirmed) {
            odd_ = value;
            return held_ = Quality::suspect;
        }
    }
    odd_.reset();
    known_ = true;
    last_ = value;
    last_at_ = now;
    return held_ = Quality::good;
}

}  // namespace drumwatch

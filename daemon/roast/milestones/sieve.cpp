#include <algorithm>
#include <cmath>

#include "roast/milestones/milestones.hpp"

namespace drumwatch {

namespace {
constexpr std::int64_t kGap_ms = 3'000;
constexpr std::int64_t kFive_ms = 4'800;  // five readings within this: two may be spikes
// A probe of 8 s lag falls by 25 C/s at charge; nothing in a drum does more.
constexpr double kStep_c = 8;
constexpr double kPace_c_per_s = 30;
constexpr double kPaceFor_s = 1.5;
constexpr double kPaceOverGap_s = 6;
constexpr double kColdest_c = 5;
constexpr double kHottest_c = 450;
constexpr std::int64_t kStays_ms = 20'000;  // what jumped and stays so long is believed after all
}  // namespace

namespace {
double middle_of(double a, double b, double c) {
    return std::max(std::min(a, b), std::min(std::max(a, b), c));
}
}  // namespace

std::optional<BeanPoint> ReadingSieve::middle() const {
    if (count_ < 3) return std::nullopt;
    const bool five = count_ == 5 && last_[4].at - last_[0].at <= kFive_ms;
    const std::size_t from = five ? 0 : count_ - 3;
    const auto c = [&](std::size_t i) { return last_[from + i].bean_c; };
    if (!five) return BeanPoint{last_[from + 1].at, middle_of(c(0), c(1), c(2))};
    // Neither the lowest nor the highest of four is the middle one of five.
    const double low = std::max(std::min(c(0), c(1)), std::min(c(2), c(3)));
    const double high = std::min(std::max(c(0), c(1)), std::max(c(2), c(3)));
    return BeanPoint{last_[from + 2].at, middle_of(low, high, c(4))};
}

bool ReadingSieve::believable(BeanPoint point, bool after_gap) {
    if (point.bean_c < kColdest_c || point.bean_c > kHottest_c) return false;
    if (!believed_) return true;
    const double apart_s = seconds_between(believed_->at, point.at);
    const double pace_s = std::fmin(apart_s, after_gap ? kPaceOverGap_s : kPaceFor_s);
    if (std::fabs(point.bean_c - believed_->bean_c) <= kStep_c + kPace_c_per_s * pace_s) return true;
    if (!odd_since_) odd_since_ = point.at;
    return point.at - *odd_since_ >= kStays_ms;
}

std::optional<BeanPoint> ReadingSieve::add(BeanPoint point) {
    if (count_ > 0 && point.at - last_[count_ - 1].at > kGap_ms) {
        count_ = 0;
        after_gap_ = true;
    }
    if (count_ == last_.size()) {
        std::move(last_.begin() + 1, last_.end(), last_.begin());
        --count_;
    }
    last_[count_++] = point;
    const auto given = middle();
    if (!given || (believed_ && given->at <= believed_->at)) return std::nullopt;
    if (!believable(*given, after_gap_)) return std::nullopt;
    believed_ = given;
    odd_since_.reset();
    after_gap_ = false;
    return given;
}

}  // namespace drumwatch

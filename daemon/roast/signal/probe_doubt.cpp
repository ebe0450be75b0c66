#include "roast/signal/probe_doubt.hpp"

#include <cmath>

namespace drumwatch {

namespace {
constexpr std::int64_t kMinute_ms = 60'000;
constexpr std::size_t kQuietBelow = 2;
constexpr double kMean_s = 20;
constexpr double kSteep_per_min = 30;
constexpr std::int64_t kApart_ms = 60'000;
constexpr double kTogetherShare = 0.8;  ///< of the limit: a deadband
}  // namespace

void NoiseWatch::take(Tick now, std::uint32_t spikes) {
    while (!newest_.empty() && now - newest_[0] > kMinute_ms) newest_.erase(0);
    for (; spikes_ != spikes; ++spikes_) {
        if (newest_.full()) newest_.erase(0);
        newest_.push_back(now);
    }
    if (newest_.full()) noisy_ = true;
    if (newest_.size() < kQuietBelow) noisy_ = false;
}

void TwinWatch::add(Tick now, double own_c, double twin_c, double own_per_min, double twin_per_min,
                    double limit_c) {
    if (std::fabs(own_per_min) > kSteep_per_min || std::fabs(twin_per_min) > kSteep_per_min) {
        mean_c_.reset();
        since_.reset();
        return;
    }
    const double off_c = own_c - twin_c;
    const double weight = mean_c_ ? 1 - std::exp(-seconds_between(at_, now) / kMean_s) : 1;
    mean_c_ = mean_c_.value_or(0) + weight * (off_c - mean_c_.value_or(0));
    at_ = now;
    const double mean = std::fabs(*mean_c_);
    if (mean <= limit_c) since_.reset();
    if (mean > limit_c && !since_) since_ = now;
    if (since_ && now - *since_ >= kApart_ms) apart_ = true;
    if (mean < kTogetherShare * limit_c) apart_ = false;
}

}  // namespace drumwatch

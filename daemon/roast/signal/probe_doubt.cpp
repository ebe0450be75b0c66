#include "roast/signal/probe_doubt.hpp"

#include <algorithm>
#include <cmath>

namespace drumwatch {

namespace {
constexpr double kOdd_c = 2.5;
constexpr std::int64_t kMinute_ms = 60'000;
constexpr int kQuietBelow = 2;
constexpr double kMean_s = 20;
constexpr double kSteep_per_min = 30;
constexpr std::int64_t kApart_ms = 60'000;
constexpr double kTogetherShare = 0.8;  ///< of the limit: a deadband
}  // namespace

void NoiseWatch::forget(Tick now) {
    const auto* const kept =
        std::find_if(odd_, odd_ + odds_, [&](Tick at) { return now - at <= kMinute_ms; });
    std::copy(kept, static_cast<const Tick*>(odd_ + odds_), odd_);
    odds_ = static_cast<int>(odd_ + odds_ - kept);
}

void NoiseWatch::add(Tick now, double value_c) {
    forget(now);
    if (newest_ == 2) {
        // The neighbours of a spike lie off as well: they are no spikes of their own.
        const bool odd = std::fabs(values_[1] - (values_[0] + value_c) / 2) >= kOdd_c && !spike_before_;
        if (odd && odds_ == kOdd) {
            std::copy(odd_ + 1, odd_ + kOdd, odd_);
            --odds_;
        }
        if (odd) odd_[odds_++] = now;
        spike_before_ = odd;
        values_[0] = values_[1];
    }
    newest_ = std::min(newest_ + 1, 2);
    values_[newest_ - 1] = value_c;
    if (odds_ >= kOdd) noisy_ = true;
    if (odds_ < kQuietBelow) noisy_ = false;
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

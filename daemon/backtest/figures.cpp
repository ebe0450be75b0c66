#include "backtest/figures.hpp"

#include <algorithm>
#include <cmath>

namespace drumwatch {

namespace {

constexpr double kSteady_s = 180;
constexpr double kLeastSteady_s = 60;
constexpr double kChange_s = 10;
constexpr double kSame_s = 0.01;  // instants this near are one
constexpr double kTail = 0.025;

bool apart(const ForecastInstant& earlier, const ForecastInstant& later, double by_s) {
    return std::fabs(later.file_s - earlier.file_s - by_s) < kSame_s;
}

/// Chances of 0 to n successes: outwards from the likeliest, so that nothing underflows where it matters.
std::vector<double> binomial(std::size_t n, double share) {
    std::vector<double> chances(n + 1, 0);
    const auto likeliest = std::min(n, static_cast<std::size_t>(static_cast<double>(n + 1) * share));
    const double odds = share / (1 - share);
    chances[likeliest] = 1;
    for (std::size_t k = likeliest; k < n; ++k)
        chances[k + 1] = chances[k] * odds * static_cast<double>(n - k) / static_cast<double>(k + 1);
    for (std::size_t k = likeliest; k > 0; --k)
        chances[k - 1] = chances[k] / odds * static_cast<double>(k) / static_cast<double>(n - k + 1);
    double sum = 0;
    for (const double chance : chances) sum += chance;
    for (double& chance : chances) chance /= sum;
    return chances;
}

}  // namespace

void ErrorFigures::add(std::optional<double> error_s) {
    if (error_s) {
        add(*error_s);
    } else {
        add_without();
    }
}

std::vector<double> ErrorFigures::sizes() const {
    std::vector<double> sizes = errors_s_;
    for (double& size : sizes) size = std::fabs(size);
    return sizes;
}

std::optional<double> ErrorFigures::mean_error() const {
    if (errors_s_.empty()) return std::nullopt;
    double sum = 0;
    for (const double error_s : errors_s_) sum += std::fabs(error_s);
    return sum / static_cast<double>(errors_s_.size());
}

std::optional<double> ErrorFigures::bias() const {
    if (errors_s_.empty()) return std::nullopt;
    double sum = 0;
    for (const double error_s : errors_s_) sum += error_s;
    return sum / static_cast<double>(errors_s_.size());
}

std::optional<double> ErrorFigures::error_quantile(double share) const { return quantile(sizes(), share); }

void IntervalFigures::add(double low, double high, double came) {
    ++count_;
    if (low <= came && came <= high) ++held_;
    widths_ += high - low;
}

std::optional<double> IntervalFigures::share() const {
    if (count_ == 0) return std::nullopt;
    return static_cast<double>(held_) / static_cast<double>(count_);
}

std::optional<double> IntervalFigures::mean_width() const {
    if (count_ == 0) return std::nullopt;
    return widths_ / static_cast<double>(count_);
}

ChanceRange chance_range(std::size_t n, double share) {
    if (share <= 0) return {0, 0};
    if (share >= 1) return {n, n};
    const std::vector<double> chances = binomial(n, share);
    ChanceRange range{0, n};
    for (double below = chances[0]; below <= kTail && range.low < n; below += chances[range.low]) ++range.low;
    for (double above = chances[n]; above <= kTail && range.high > 0; above += chances[range.high])
        --range.high;
    return range;
}

void SteadinessFigures::add(const std::vector<ForecastInstant>& forecasts, double crack_s) {
    double moved_s = 0;
    double over_s = 0;
    std::vector<ForecastInstant> late;
    for (const ForecastInstant& now : forecasts) {
        if (now.file_s < crack_s - kSteady_s || now.file_s > crack_s) continue;
        if (!late.empty() && apart(late.back(), now, 1)) {
            moved_s += std::fabs(now.instant_s - late.back().instant_s);
            over_s += 1;
        }
        for (auto before = late.rbegin(); before != late.rend(); ++before) {
            if (now.file_s - before->file_s > kChange_s + kSame_s) break;
            if (apart(*before, now, kChange_s))
                changes_.push_back(std::fabs(now.instant_s - before->instant_s));
        }
        late.push_back(now);
    }
    if (over_s >= kLeastSteady_s) movements_.push_back(moved_s / over_s);
}

}  // namespace drumwatch

#include "roast/forecast/forecast.hpp"

#include <algorithm>
#include <cmath>

namespace drumwatch {

namespace {
constexpr double k80Percent = 1.2816;  // normal quantile of 90 %, any table
constexpr double kReaction_s = 4;
constexpr double kPathError = 0.06;       // of the time still to go, with a target
constexpr double kPathErrorAlone = 0.15;  // without
constexpr double kBelieved = 0.1;         // of the ratio of rises: more was worse at every lead (bench_curve)
constexpr double kLeastRise = 1.0;        // C/min
constexpr double kFarthest_s = 1200;
constexpr double kUsualRise = 7.0;  // C/min at first crack
constexpr double kTrendWindow_s = 60;
constexpr double kTrustedRoasts = 2;  // the target's own crack counts as much as this many roasts
constexpr std::size_t kTrendPoints = 64;

struct Path {
    double to_go_s;
    double rise_there;  // C/min at the crack temperature
    double error_share;
};

std::optional<Path> path_by_target(const TargetCurve& target, double crack_c, double smooth_c, double rise) {
    const auto here = target.time_at(smooth_c);
    const auto there = target.time_at_or_beyond(crack_c);
    if (!here || !there) return std::nullopt;
    const double target_rise = target.rise_per_min_at(*here);
    const double ratio = target_rise > kLeastRise ? std::clamp(rise / target_rise, 0.5, 2.0) : 1.0;
    const double factor = 1 + (ratio - 1) * kBelieved;
    const double rise_there = std::max(target.rise_per_min_at(*there), kLeastRise);
    return Path{std::max(*there - *here, 0.0) / factor, rise_there * factor, kPathError};
}

/// Exact time along rise(T) = usual + (rise - usual) exp(-(T - T0) / fade), where the fade has the slope seen
/// at T0.
Path path_alone(double crack_c, double smooth_c, double rise, double slope) {
    const double gap = crack_c - smooth_c;
    const double above = rise - kUsualRise;
    if (above <= 0 || slope >= -1e-6) return {gap / rise * 60, rise, kPathErrorAlone};
    const double fade = -above / slope;
    const double rise_there = kUsualRise + above * std::exp(-gap / fade);
    const double minutes = (gap + fade * std::log(rise_there / rise)) / kUsualRise;
    return {minutes * 60, rise_there, kPathErrorAlone};
}

ForecastView interval(const CrackExpectation& crack, const Path& path, double elapsed_s) {
    const double scatter_s = crack.spread_c / (path.rise_there / 60);
    const double path_s = path.error_share * path.to_go_s;
    const double half =
        k80Percent * std::sqrt(scatter_s * scatter_s + kReaction_s * kReaction_s + path_s * path_s);
    ForecastView view;
    view.at_s = elapsed_s + path.to_go_s;
    view.low_s = std::max(view.at_s - half, elapsed_s);
    view.high_s = view.at_s + half;
    view.crack_c = crack.crack_c;
    view.crack_spread_c = crack.spread_c;
    view.from_target = crack.from_target;
    return view;
}
}  // namespace

CrackExpectation expect_crack(const TargetCurve* target, const Lessons& lessons) {
    CrackExpectation crack;
    const auto own = target ? target->crack_c() : std::nullopt;
    if (own) crack = {*own, 1.8, true};
    if (lessons.roasts == 0) return crack;
    const double weight = own ? kTrustedRoasts : 0.5;
    const double n = lessons.roasts;
    crack.crack_c = (crack.crack_c * weight + lessons.crack_c * n) / (weight + n);
    const double taught = lessons.roasts > 2 ? std::max(lessons.crack_spread_c, 0.6) : 1.8;
    crack.spread_c = (crack.spread_c * weight + taught * n) / (weight + n);
    return crack;
}

RiseTrend::RiseTrend() : points_(kTrendPoints) {}

void RiseTrend::clear() { points_.clear(); }

void RiseTrend::add(Tick now, double smooth_c, double rise_per_min) {
    if (points_.size() > 0 && now - points_.back().at < 1000) return;
    points_.push({now, smooth_c, rise_per_min});
}

double RiseTrend::slope() const {
    double n = 0, sx = 0, sy = 0, sxx = 0, sxy = 0;
    for (std::size_t i = 0; i < points_.size(); ++i) {
        const Point& p = points_[i];
        if (seconds_between(p.at, points_.back().at) > kTrendWindow_s) continue;
        const double x = p.bean_c - points_.back().bean_c;
        n += 1, sx += x, sy += p.rise_per_min, sxx += x * x, sxy += x * p.rise_per_min;
    }
    const double spread = n * sxx - sx * sx;
    return n < 10 || spread < 1e-6 ? 0 : (n * sxy - sx * sy) / spread;
}

CrackForecast forecast_crack(const TargetCurve* target, const CrackExpectation& crack, double elapsed_s,
                             std::optional<double> smooth_c, std::optional<double> rise_per_min,
                             const RiseTrend& trend) {
    if (!smooth_c || !rise_per_min) return {std::nullopt, NoForecast::no_reading};
    if (*smooth_c >= crack.crack_c) {
        const Path here{0, std::max(*rise_per_min, kLeastRise), kPathError};
        return {interval(crack, here, elapsed_s), NoForecast::none};
    }
    if (*rise_per_min < kLeastRise) return {std::nullopt, NoForecast::not_rising};
    std::optional<Path> path;
    if (target) path = path_by_target(*target, crack.crack_c, *smooth_c, *rise_per_min);
    if (!path) path = path_alone(crack.crack_c, *smooth_c, *rise_per_min, trend.slope());
    if (path->to_go_s > kFarthest_s) return {std::nullopt, NoForecast::too_far};
    return {interval(crack, *path, elapsed_s), NoForecast::none};
}

}  // namespace drumwatch

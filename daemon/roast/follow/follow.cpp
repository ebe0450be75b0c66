#include "roast/follow/follow.hpp"

#include <cmath>

namespace drumwatch {

namespace {
constexpr double kFade_s = 60;
constexpr double k80Percent = 1.2816;  // normal quantile of 90 %, any table
constexpr double kDoubtNow_c = 0.12;
constexpr double kDoubtGrowth_c_per_s = 0.018;
constexpr double kLookAhead_s = 60;
constexpr double kStep_s = 15;
constexpr int kSteps = 6;

double middle(double deviation_c, double rise_deviation_per_min, double in_s) {
    return deviation_c + rise_deviation_per_min / 60 * in_s / (1 + in_s / kFade_s);
}

std::optional<double> leaving(const FollowView& view) {
    if (!view.deviation_c || !view.rise_deviation_per_min || view.outside) return std::nullopt;
    for (double s = 1; s <= kLookAhead_s; s += 1) {
        if (std::fabs(middle(*view.deviation_c, *view.rise_deviation_per_min, s)) > view.corridor_c) return s;
    }
    return std::nullopt;
}
}  // namespace

FollowView follow(const TargetCurve& target, const BeanNow& now, double outside_for_s) {
    FollowView view;
    view.target_c = target.bean_at(now.elapsed_s);
    view.corridor_c = target.corridor_at(now.elapsed_s);
    view.judged_now = now.elapsed_s >= target.target().tolerance.from_s && now.elapsed_s <= target.end_s();
    view.outside_for_s = outside_for_s;
    if (!now.smooth_c) return view;
    view.deviation_c = *now.smooth_c - view.target_c;
    view.outside = std::fabs(*view.deviation_c) > view.corridor_c;
    if (now.rise_per_min)
        view.rise_deviation_per_min = *now.rise_per_min - target.rise_per_min_at(now.elapsed_s);
    if (now.elapsed_s > target.turning_s()) {
        if (const auto at = target.time_at(*now.smooth_c)) view.ahead_s = *at - now.elapsed_s;
    }
    view.leaves_in_s = leaving(view);
    return view;
}

FixedList<FanPoint, 8> fan(const FollowView& now) {
    FixedList<FanPoint, 8> points;
    if (!now.deviation_c || !now.rise_deviation_per_min) return points;
    for (int i = 0; i <= kSteps; ++i) {
        const double in_s = kStep_s * i;
        const double centre = middle(*now.deviation_c, *now.rise_deviation_per_min, in_s);
        const double grown = kDoubtGrowth_c_per_s * in_s;
        const double half = k80Percent * std::sqrt(kDoubtNow_c * kDoubtNow_c + grown * grown);
        points.push_back({in_s, centre - half, centre + half});
    }
    return points;
}

std::optional<double> expected_time_at(const TargetCurve& target, double bean_c,
                                       std::optional<double> ahead_s) {
    const auto at = target.time_at_or_beyond(bean_c);
    if (!at) return std::nullopt;
    return *at - ahead_s.value_or(0);
}

}  // namespace drumwatch

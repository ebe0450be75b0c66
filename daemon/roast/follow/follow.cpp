#include "roast/follow/follow.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace drumwatch {

namespace {
constexpr double kDrift_s = 8;          // time constant; more or less of it foretold no better
constexpr double kWildest_per_min = 6;  // a greater leap of the difference of rates is noise
constexpr double kLookAhead_s = 45;
constexpr double kLikely = 0.7;  // of the half spread: about 63 of 100 futures lie within
constexpr double kLongestGap_s = 3;

/// What a future that many seconds on is made of, and the half of its 80 % spread; per degree of deviation,
/// per degree a minute of drift, per % of burner.
struct Ahead {
    double in_s;
    double deviation, drift, burner;
    double half_c, half_deviation, half_drift, half_burner;
};
constexpr std::array<Ahead, 7> kAhead = {{
    {0, 1, 0, 0, 0.08, 0.03, 0.05, 0},
    {15, 0.988, 0.022, 0.047, 0.103, 0.094, 0.152, 0.045},
    {30, 0.975, 0.038, 0.092, 0.123, 0.203, 0.23, 0.102},
    {45, 0.955, 0.044, 0.125, 0.137, 0.335, 0.285, 0.155},
    {60, 0.933, 0.048, 0.142, 0.155, 0.47, 0.31, 0.212},
    {75, 0.913, 0.050, 0.142, 0.169, 0.58, 0.33, 0.258},
    {90, 0.897, 0.050, 0.132, 0.184, 0.70, 0.34, 0.293},
}};

struct Spread {
    double middle_c;
    double half_c;
};

Spread spread(const Ahead& ahead, const FollowView& now) {
    const double deviation = *now.deviation_c;
    const double drift = *now.drift_per_min;
    const double burner = now.burner_more.value_or(0);
    const double parts[] = {ahead.half_c, ahead.half_deviation * deviation, ahead.half_drift * drift,
                            ahead.half_burner * burner};
    double squares = 0;
    for (const double part : parts) squares += part * part;
    return {ahead.deviation * deviation + ahead.drift * drift + ahead.burner * burner, std::sqrt(squares)};
}

/// The likely part reaches no farther than this from the target: the parts of its half added, not their
/// squares.
double farthest(const Ahead& ahead, const FollowView& now) {
    const double deviation = std::fabs(*now.deviation_c);
    const double drift = std::fabs(*now.drift_per_min);
    const double burner = std::fabs(now.burner_more.value_or(0));
    return ahead.deviation * deviation + ahead.drift * drift + ahead.burner * burner +
           kLikely * (ahead.half_c + ahead.half_deviation * deviation + ahead.half_drift * drift +
                      ahead.half_burner * burner);
}

constexpr std::size_t kLooked = 4;
static_assert(kAhead[kLooked - 1].in_s <= kLookAhead_s && kAhead[kLooked].in_s > kLookAhead_s);

std::optional<double> leaving(const TargetCurve& target, double elapsed_s, const FollowView& view) {
    if (!view.deviation_c || !view.drift_per_min || view.outside) return std::nullopt;
    // Nowhere is the corridor narrower than its least: where nothing can reach that, its curve need not be
    // looked at.
    const double least_c = target.target().tolerance.bean_c;
    const auto within = [&](const Ahead& ahead) { return farthest(ahead, view) <= least_c; };
    if (std::all_of(kAhead.begin(), kAhead.begin() + kLooked, within)) return std::nullopt;
    std::array<double, kLooked> reach_c{};  // of the likely part, from the target
    for (std::size_t i = 0; i < kLooked; ++i) {
        const Spread likely = spread(kAhead[i], view);
        reach_c[i] = std::fabs(likely.middle_c) + kLikely * likely.half_c;
    }
    double before_c = reach_c[0] - view.corridor_c;
    for (std::size_t i = 1; i < kLooked; ++i) {
        const double beyond = reach_c[i] - target.corridor_at(elapsed_s + kAhead[i].in_s);
        const double step_s = kAhead[i].in_s - kAhead[i - 1].in_s;
        if (beyond > 0)
            return kAhead[i].in_s - (before_c < 0 ? step_s * beyond / (beyond - before_c) : step_s);
        before_c = beyond;
    }
    return std::nullopt;
}
}  // namespace

double RiseDrift::add(double rise_deviation_per_min, double elapsed_s) {
    const double since_s = elapsed_s - at_s_;
    at_s_ = elapsed_s;
    if (!value_per_min_ || since_s < 0 || since_s > kLongestGap_s) {
        value_per_min_ = std::clamp(rise_deviation_per_min, -kWildest_per_min, kWildest_per_min);
    } else {
        const double leap =
            std::clamp(rise_deviation_per_min - *value_per_min_, -kWildest_per_min, kWildest_per_min);
        *value_per_min_ += leap * since_s / (kDrift_s + since_s);
    }
    return *value_per_min_;
}

FollowView follow(const TargetCurve& target, const BeanNow& now, double outside_for_s, RiseDrift& drift) {
    FollowView view;
    const TargetCurve::Here here = target.here(now.elapsed_s);
    view.target_c = here.bean_c;
    view.corridor_c = here.corridor_c;
    view.judged_now = now.elapsed_s >= target.target().tolerance.from_s && now.elapsed_s <= target.end_s();
    view.outside_for_s = outside_for_s;
    if (!now.smooth_c) return view;
    view.deviation_c = *now.smooth_c - view.target_c;
    view.outside = std::fabs(*view.deviation_c) > view.corridor_c;
    if (now.rise_per_min) {
        view.rise_deviation_per_min = *now.rise_per_min - here.rise_per_min;
        view.drift_per_min = drift.add(*view.rise_deviation_per_min, now.elapsed_s);
    }
    if (now.elapsed_s > target.turning_s()) {
        if (const auto at = target.time_at(*now.smooth_c)) view.ahead_s = *at - now.elapsed_s;
    }
    view.burner_more = now.burner_more;
    view.leaves_in_s = leaving(target, now.elapsed_s, view);
    return view;
}

FixedList<FanPoint, 8> fan(const FollowView& now) {
    FixedList<FanPoint, 8> points;
    if (!now.deviation_c || !now.drift_per_min) return points;
    for (const Ahead& ahead : kAhead) {
        const Spread future = spread(ahead, now);
        points.push_back({ahead.in_s, future.middle_c - future.half_c, future.middle_c + future.half_c});
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

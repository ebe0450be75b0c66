#include "roast/forecast/forecast.hpp"

#include <algorithm>
#include <cmath>

#include "roast/forecast/normal.hpp"
#include "roast/forecast/path.hpp"

namespace drumwatch {

namespace {
constexpr double kLeastRise = 1.0;  // C/min
constexpr double kFarthest_s = 1200;
// A person hears it, decides and taps (judgement: some seconds, and not always the same).
constexpr double kReaction_s = 3;
constexpr double kReactionSpread_s = 3;
// Crack temperature: how many roasts a target's own, or the usual one, counts for; and how much they scatter
// for one coffee on one machine, 1 to 2 C (from memory), where few are known.
constexpr double kTargetCounts = 2.5;
constexpr double kUsualCounts = 0.5;
constexpr double kUsualSpread_c = 1.08;
constexpr double kSpreadCounts = 3;
constexpr double kPaceCounts = 8;
constexpr double kSteady_s = 5;
constexpr double kFastest = 0.3;  // s a second, but for what is further off than
constexpr double kNews_s = 14;
constexpr double kNewsIn_s = 6;
constexpr std::int64_t kSteadyGap_ms = 5'000;

ForecastView view_of(const ForecastInput& input, const CrackPath& path) {
    const double scatter_s = input.crack.spread_c / (std::max(path.rise_there, kLeastRise) / 60);
    const double path_s = path.error_share * std::max(path.to_go_s, 0.0);
    const double spread_s =
        std::sqrt(scatter_s * scatter_s + path_s * path_s + kReactionSpread_s * kReactionSpread_s);
    const double middle_s = input.elapsed_s + path.to_go_s;
    const double cut = (input.elapsed_s - middle_s) / spread_s;
    ForecastView view;
    view.at_s = std::max(middle_s + spread_s * quantile_above(cut, 0.5) - kReaction_s, input.elapsed_s);
    view.low_s = middle_s + spread_s * quantile_above(cut, 0.1);
    view.high_s = middle_s + spread_s * quantile_above(cut, 0.9);
    view.crack_c = input.crack.crack_c;
    view.crack_spread_c = input.crack.spread_c;
    view.from_target = input.crack.from_target;
    view.roasts = input.crack.roasts;
    view.by_target_s = path.by_target_s;
    view.pace_s = path.pace_s;
    view.heat_s = path.heat_s;
    return view;
}
}  // namespace

CrackExpectation expect_crack(const TargetCurve* target, const Lessons& lessons) {
    CrackExpectation crack;
    const auto own = target ? target->crack_c() : std::nullopt;
    if (own) crack = {*own, 0, true, 0, 0};
    const double counts = own ? kTargetCounts : kUsualCounts;
    const double weight = lessons.weight;
    crack.roasts = lessons.roasts;
    crack.pace = target ? lessons.pace * lessons.pace_weight / (lessons.pace_weight + kPaceCounts) : 0;
    if (!own && weight <= 0) return crack;
    crack.crack_c = (crack.crack_c * counts + lessons.crack_c * weight) / (counts + weight);
    const double taught = std::max(weight - 1, 0.0);
    const double squares = kUsualSpread_c * kUsualSpread_c * kSpreadCounts +
                           lessons.crack_spread_c * lessons.crack_spread_c * taught;
    crack.spread_c = std::sqrt(squares / (kSpreadCounts + taught) * (1 + 1 / (counts + weight)));
    return crack;
}

CrackForecast forecast_crack(const ForecastInput& input) {
    if (!input.smooth_c || !input.rise_per_min) return {std::nullopt, NoForecast::no_reading};
    const bool passed = *input.smooth_c >= input.crack.crack_c;
    // A target says how a slow rise goes on; without one there is nothing to divide by.
    const double least_rise = input.target ? 0 : kLeastRise;
    if (*input.rise_per_min < least_rise && !passed) return {std::nullopt, NoForecast::not_rising};
    std::optional<CrackPath> path;
    if (input.target) path = path_by_target(input);
    if (!path && passed) path = CrackPath{};
    if (!path && *input.rise_per_min < kLeastRise) return {std::nullopt, NoForecast::not_rising};
    if (!path) path = path_alone(input);
    if (path->to_go_s > kFarthest_s) return {std::nullopt, NoForecast::too_far};
    return {view_of(input, *path), NoForecast::none};
}

CrackForecast SteadyForecast::add(Tick now, const CrackForecast& fresh, double elapsed_s) {
    if (!fresh.view) {
        shown_.reset();
        return fresh;
    }
    if (!shown_ || now - shown_at_ > kSteadyGap_ms) {
        shown_ = fresh.view;
    } else {
        const double dt_s = seconds_between(shown_at_, now);
        const double part = dt_s / (kSteady_s + dt_s);
        const auto nearer = [&](double shown_s, double fresh_s) {
            const double off_s = fresh_s - shown_s;
            const double news = std::max(std::fabs(off_s) - kNews_s, 0.0) / kNewsIn_s;
            const double most_s = (kFastest + news) * dt_s;
            return std::max(shown_s + std::clamp(off_s * part, -most_s, most_s), elapsed_s);
        };
        ForecastView view = *fresh.view;
        view.at_s = nearer(shown_->at_s, view.at_s);
        view.low_s = nearer(shown_->low_s, view.low_s);
        view.high_s = nearer(shown_->high_s, view.high_s);
        shown_ = view;
    }
    shown_at_ = now;
    return {shown_, NoForecast::none};
}

}  // namespace drumwatch

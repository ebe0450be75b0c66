#include "roast/forecast/path.hpp"

#include <algorithm>
#include <cmath>

namespace drumwatch {

namespace {
constexpr double kPathError = 0.033;      // of the time still to go, with a target
constexpr double kPathErrorAlone = 0.15;  // without
// A roast that got ahead goes on a little faster, one that is trimmed is brought back: log per second ahead.
constexpr double kAheadGain = 0.0014;
constexpr double kAheadGainTrimmed = -0.0007;
constexpr double kPresentGain = 0.45;  // of the present rate of rise against the target's, both as logarithms
constexpr double kPresentKept = 0.846;  // of that after each further step: exp(-10 / 60)
constexpr double kMedian = 0.996;       // of the mean time to go: a few roasts take much longer
constexpr double kLargest = 0.5;        // logarithm of what the rate of rise may differ by
constexpr double kLeastRise = 1.0;      // C/min
constexpr double kUsualRise = 7.0;      // C/min at first crack
constexpr double kFadesFor_s = 150;     // after that what the present differs by counts no more

/// exp(-x) for small x, to three terms: error under 0.3 % at the largest.
double slowed(double x) { return 1 - x + x * x / 2 - x * x * x / 6; }

double limited(double x) { return std::clamp(x, -kLargest, kLargest); }

struct Walk {
    double took_s = 0;
    double last = 0;  ///< logarithm at the end
};

/// How much faster than the target at the same temperature it rises now, as a logarithm.
double present(const ForecastInput& input, double here_s) {
    const double planned = std::max(input.target->rise_per_min_at(here_s), kLeastRise);
    return limited(std::log(std::max(*input.rise_per_min, kLeastRise) / planned));
}

/// `span_s` of the target, walked in steps at its rate of rise times what present rise and burner make of it.
Walk walk(const ForecastInput& input, double here_s, double span_s, double steady) {
    Walk walk{0, steady};
    double fades = kPresentGain * present(input, here_s);
    double done_s = 0;
    auto path = input.burner ? input.burner->path(here_s, input.pending, input.trimmed) : std::nullopt;
    while (done_s < std::min(span_s, kFadesFor_s)) {
        const double step_s = std::min(BurnerLead::kStep_s, span_s - done_s);
        walk.last = limited(steady + fades + (path ? path->next() : 0));
        walk.took_s += step_s * slowed(walk.last);
        done_s += step_s;
        fades *= kPresentKept;
    }
    if (done_s < span_s) {
        walk.took_s += (span_s - done_s) * slowed(limited(steady));
        walk.last = limited(steady);
    }
    return walk;
}
}  // namespace

std::optional<CrackPath> path_by_target(const ForecastInput& input) {
    const auto here_s = input.target->time_at_or_beyond(*input.smooth_c);
    const auto there_s = input.target->time_at_or_beyond(input.crack.crack_c);
    if (!here_s || !there_s) return std::nullopt;
    CrackPath path;
    path.error_share = kPathError;
    path.by_target_s = *there_s - *here_s;
    const double planned_rise = std::max(input.target->rise_per_min_at(*there_s), kLeastRise);
    if (path.by_target_s <= 0) {
        path.to_go_s = path.by_target_s;
        path.rise_there = std::max(input.rise_per_min.value_or(planned_rise), planned_rise / 2);
        return path;
    }
    const double gain = input.trimmed ? kAheadGainTrimmed : kAheadGain;
    const double ahead = gain * (*here_s - input.elapsed_s);
    const double steady = limited(ahead - input.crack.pace);
    const Walk walked = walk(input, *here_s, path.by_target_s, steady);
    path.to_go_s = kMedian * walked.took_s;
    path.rise_there = planned_rise * (2 - slowed(walked.last));
    path.pace_s = path.by_target_s * (slowed(steady) - 1);
    path.heat_s = walked.took_s - path.by_target_s - path.pace_s;
    return path;
}

CrackPath path_alone(const ForecastInput& input) {
    const double gap = input.crack.crack_c - *input.smooth_c;
    const double rise = *input.rise_per_min;
    const double slope = input.trend->slope();
    const double above = rise - kUsualRise;
    CrackPath path;
    path.error_share = kPathErrorAlone;
    path.to_go_s = gap / rise * 60;
    path.rise_there = rise;
    if (gap <= 0 || above <= 0 || slope >= -1e-6) return path;
    const double fade = -above / slope;
    path.rise_there = kUsualRise + above * std::exp(-gap / fade);
    path.to_go_s = (gap + fade * std::log(path.rise_there / rise)) / kUsualRise * 60;
    return path;
}

}  // namespace drumwatch

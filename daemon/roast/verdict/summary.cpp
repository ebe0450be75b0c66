#include <cmath>

#include "roast/verdict/verdict.hpp"

namespace drumwatch {

namespace {
/// Longest unbroken stretch of a condition, in seconds, over entries that need not be evenly spaced.
class Stretch {
  public:
    void add(bool holds, double t_s) {
        if (holds && !holding_) from_s_ = t_s;
        holding_ = holds;
        if (holds) longest_s_ = std::fmax(longest_s_, t_s - from_s_);
    }
    double longest_s() const { return longest_s_; }

  private:
    bool holding_ = false;
    double from_s_ = 0;
    double longest_s_ = 0;
};

/// Mean of the good readings in the last 5 s before the drop.
std::optional<double> end_temperature(const Trace& trace, Tick drop) {
    double sum = 0;
    int count = 0;
    for (const TraceEntry& entry : trace.entries()) {
        const std::int64_t before = drop - entry.at;
        if (before < 0 || before > 5'000 || !entry.good) continue;
        sum += static_cast<double>(entry.raw_c);
        ++count;
    }
    if (count == 0) return std::nullopt;
    return sum / count;
}

void note_ahead(DeviationSummary& kept, const TargetCurve& target, double t_s, double bean_c) {
    const auto at = target.time_at(bean_c);
    if (!at) return;
    kept.max_ahead_s = std::fmax(kept.max_ahead_s, *at - t_s);
    kept.max_behind_s = std::fmin(kept.max_behind_s, *at - t_s);
}
}  // namespace

DeviationSummary summarise(const Trace& trace, const TargetCurve& target, Tick charge, Tick drop) {
    DeviationSummary kept;
    Stretch outside, far_outside, gap;
    const double until_s = std::fmin(seconds_between(charge, drop), target.end_s());
    double last_s = target.target().tolerance.from_s;
    for (const TraceEntry& entry : trace.entries()) {
        const double t_s = seconds_between(charge, entry.at);
        if (t_s < target.target().tolerance.from_s || t_s > until_s) continue;
        gap.add(!entry.smooth_good, t_s);
        if (entry.smooth_good) {
            const double deviation = static_cast<double>(entry.smooth_c) - target.bean_at(t_s);
            const bool is_outside = std::fabs(deviation) > target.corridor_at(t_s);
            outside.add(is_outside, t_s);
            far_outside.add(std::fabs(deviation) > target.hold_corridor_at(t_s), t_s);
            if (is_outside) kept.outside_total_s += t_s - last_s;
            if (std::fabs(deviation) > std::fabs(kept.max_c)) {
                kept.max_c = deviation;
                kept.max_at_s = t_s;
            }
            note_ahead(kept, target, t_s, static_cast<double>(entry.smooth_c));
        }
        last_s = t_s;
    }
    kept.outside_s = outside.longest_s();
    kept.far_outside_s = far_outside.longest_s();
    kept.gap_s = gap.longest_s();
    if (const auto end = end_temperature(trace, drop)) kept.end_c = *end - target.end_c();
    return kept;
}

}  // namespace drumwatch

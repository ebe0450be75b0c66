#include <algorithm>
#include <array>
#include <cmath>

#include "core/fixed_list.hpp"
#include "roast/verdict/verdict.hpp"

namespace drumwatch {

namespace {
constexpr double kSpike_c = 4;  // no bean temperature is so far from those some seconds before and after

/// Longest unbroken stretch of a condition, in seconds, over entries that need not be evenly spaced.
class Stretch {
  public:
    void add(bool holds, double t_s) {
        if (holds && !holding_) from_s_ = t_s;
        if (holds && holding_) total_s_ += t_s - last_s_;
        holding_ = holds;
        last_s_ = t_s;
        if (holds) longest_s_ = std::fmax(longest_s_, t_s - from_s_);
    }
    /// What comes next does not hang together with what was.
    void end() { holding_ = false; }
    double longest_s() const { return longest_s_; }
    double total_s() const { return total_s_; }
    /// Of the one under way; 0 where there is none.
    double now_s() const { return holding_ ? last_s_ - from_s_ : 0; }

  private:
    bool holding_ = false;
    double from_s_ = 0;
    double last_s_ = 0;
    double longest_s_ = 0;
    double total_s_ = 0;
};

/// Deviation at one entry after the other, as the mean of the readings round it: after the drop there is no
/// need to look at the past only, and noise must not break a stretch in two.
class Deviations {
  public:
    /// What was read after the drop is no deviation of the roast.
    Deviations(const Trace& trace, const TargetCurve& target, Tick charge, Tick drop)
        : entries_(trace.entries()), target_(target), charge_(charge), drop_(drop) {}

    /// Entries in their order only.
    double at(const TraceEntry& entry) {
        const auto too_old = [&](std::size_t i) { return entry.at - entries_[i].at > kHalfWindow_ms; };
        for (; first_ < next_ && too_old(first_); ++first_) count(first_, -1);
        if (first_ == next_) {
            while (next_ < entries_.size() && too_old(next_)) ++next_;
            first_ = next_;
        }
        for (; next_ < entries_.size() && entries_[next_].at - entry.at <= kHalfWindow_ms &&
               entries_[next_].at <= drop_;
             ++next_)
            count(next_, 1);
        return readings_ > 0 ? sum_ / readings_ : off_c(entry, static_cast<double>(entry.smooth_c));
    }

  private:
    static constexpr std::int64_t kHalfWindow_ms = 2'000;
    static constexpr std::size_t kWindow = 64;  // 4 s at 10 Hz, with room

    double off_c(const TraceEntry& entry, double bean_c) const {
        return bean_c - target_.bean_at(seconds_between(charge_, entry.at));
    }
    void count(std::size_t index, int sign) {
        const TraceEntry& entry = entries_[index];
        const auto raw_c = static_cast<double>(entry.raw_c);
        const bool spike = std::fabs(raw_c - static_cast<double>(entry.smooth_c)) > kSpike_c;
        if (!entry.good || !entry.smooth_good || spike) return;
        double& off = off_c_[index % kWindow];
        if (sign > 0) off = off_c(entry, raw_c);
        sum_ += sign * off;
        readings_ += sign;
    }

    const std::vector<TraceEntry>& entries_;
    const TargetCurve& target_;
    Tick charge_;
    Tick drop_;
    std::size_t first_ = 0;
    std::size_t next_ = 0;
    std::array<double, kWindow> off_c_{};  ///< of those between the two
    double sum_ = 0;
    int readings_ = 0;
};

constexpr std::int64_t kEnd_ms = static_cast<std::int64_t>(kEnd_s * 1000);

/// Mean of the good readings in the last 5 s before the drop; a spike is none of them.
std::optional<double> end_temperature(const Trace& trace, Tick drop) {
    FixedList<double, 128> last;
    for (const TraceEntry& entry : trace.entries()) {
        const std::int64_t before = drop - entry.at;
        if (before >= 0 && before <= kEnd_ms && entry.good) last.push_back(static_cast<double>(entry.raw_c));
    }
    if (last.empty()) return std::nullopt;
    const auto middle = last.begin() + last.size() / 2;
    std::nth_element(last.begin(), middle, last.end());
    const double middle_c = *middle;
    double sum = 0;
    int count = 0;
    for (const double bean_c : last) {
        if (std::fabs(bean_c - middle_c) > kSpike_c) continue;
        sum += bean_c;
        ++count;
    }
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
    Deviations deviations(trace, target, charge, drop);
    for (const TraceEntry& entry : trace.entries()) {
        const double t_s = seconds_between(charge, entry.at);
        if (t_s < target.target().tolerance.from_s || t_s > until_s) continue;
        gap.add(!entry.smooth_good, t_s);
        if (gap.now_s() > target.target().tolerance.gap_s) {  // nobody knows where the curve was
            outside.end();
            far_outside.end();
        }
        if (entry.smooth_good) {
            const double deviation = deviations.at(entry);
            const TargetCurve::Here here = target.here(t_s);
            outside.add(std::fabs(deviation) > here.corridor_c, t_s);
            far_outside.add(std::fabs(deviation) > here.hold_corridor_c, t_s);
            if (std::fabs(deviation) > std::fabs(kept.max_c)) {
                kept.max_c = deviation;
                kept.max_at_s = t_s;
            }
            note_ahead(kept, target, t_s, here.bean_c + deviation);
        }
    }
    kept.outside_total_s = outside.total_s();
    kept.outside_s = outside.longest_s();
    kept.far_outside_s = far_outside.longest_s();
    kept.gap_s = gap.longest_s();
    if (const auto end = end_temperature(trace, drop)) kept.end_c = *end - target.end_c();
    return kept;
}

}  // namespace drumwatch

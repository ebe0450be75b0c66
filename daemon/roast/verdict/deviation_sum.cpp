#include "roast/verdict/deviation_sum.hpp"

#include <algorithm>
#include <cmath>

#include "roast/verdict/end_temperature.hpp"

namespace drumwatch {

namespace {
constexpr double kSpike_c = 4;  // no bean temperature is so far from those some seconds before and after
constexpr std::int64_t kHalfWindow_ms = 2'000;
constexpr std::int64_t kKeptEvery_ms = 2'000;
}  // namespace

void DeviationSum::Stretch::add(bool holds, double t_s) {
    if (holds && !holding_) from_s_ = t_s;
    if (holds && holding_) total_s_ += t_s - last_s_;
    holding_ = holds;
    last_s_ = t_s;
    if (holds) longest_s_ = std::fmax(longest_s_, t_s - from_s_);
}

void DeviationSum::start(const TargetCurve* target, Tick charge) {
    target_ = target;
    charge_ = charge;
    now_ = {};
    times_kept_ = 0;
}

double DeviationSum::off_c(const TraceEntry& entry, double bean_c) const {
    return bean_c - target_->bean_at(seconds_between(charge_, entry.at));
}

void DeviationSum::count(Window& window, const Trace& trace, std::size_t index, int sign) const {
    const TraceEntry& entry = trace.entries()[index];
    const auto raw_c = static_cast<double>(entry.raw_c);
    const bool spike = std::fabs(raw_c - static_cast<double>(entry.smooth_c)) > kSpike_c;
    if (!entry.good || !entry.smooth_good || spike) return;
    double& off = window.off_c[index % Window::kReadings];
    if (sign > 0) off = off_c(entry, raw_c);
    window.sum += sign * off;
    window.readings += sign;
}

/// Entries in their order only. What was read after `last` is no deviation of the roast.
double DeviationSum::deviation_at(Window& window, const Trace& trace, const TraceEntry& entry,
                                  Tick last) const {
    const auto& entries = trace.entries();
    const auto too_old = [&](std::size_t i) { return entry.at - entries[i].at > kHalfWindow_ms; };
    for (; window.first < window.next && too_old(window.first); ++window.first)
        count(window, trace, window.first, -1);
    if (window.first == window.next) {
        const std::size_t here = static_cast<std::size_t>(&entry - entries.data());
        window.next = std::max(window.next, here - std::min(here, Window::kReadings / 2));
        while (window.next < entries.size() && too_old(window.next)) ++window.next;
        window.first = window.next;
    }
    for (; window.next < entries.size() && entries[window.next].at - entry.at <= kHalfWindow_ms &&
           entries[window.next].at <= last;
         ++window.next)
        count(window, trace, window.next, 1);
    return window.readings > 0 ? window.sum / window.readings
                               : off_c(entry, static_cast<double>(entry.smooth_c));
}

void DeviationSum::note_ahead(State& state, double t_s, double bean_c) const {
    const auto at = target_->time_at(bean_c);
    if (!at) return;
    state.max_ahead_s = std::fmax(state.max_ahead_s, *at - t_s);
    state.max_behind_s = std::fmin(state.max_behind_s, *at - t_s);
}

void DeviationSum::judge(State& state, const Trace& trace, const TraceEntry& entry, Tick last) const {
    const double t_s = seconds_between(charge_, entry.at);
    const Tolerance& tolerance = target_->target().tolerance;
    if (t_s < tolerance.from_s || t_s > std::fmin(seconds_between(charge_, last), target_->end_s())) return;
    state.gap.add(!entry.smooth_good, t_s);
    if (state.gap.now_s() > tolerance.gap_s) {  // nobody knows where the curve was
        state.outside.end();
        state.far_outside.end();
    }
    if (!entry.smooth_good) return;
    const double deviation = deviation_at(state.window, trace, entry, last);
    const TargetCurve::Here here = target_->here(t_s);
    state.outside.add(std::fabs(deviation) > here.corridor_c, t_s);
    state.far_outside.add(std::fabs(deviation) > here.hold_corridor_c, t_s);
    if (std::fabs(deviation) > std::fabs(state.max_c)) {
        state.max_c = deviation;
        state.max_at_s = t_s;
    }
    note_ahead(state, t_s, here.bean_c + deviation);
}

void DeviationSum::keep() {
    if (now_.next == 0) return;
    if (times_kept_ > 0 && now_.needs - kept_[(times_kept_ - 1) % kept_.size()].needs < kKeptEvery_ms) return;
    kept_[times_kept_++ % kept_.size()] = now_;
}

void DeviationSum::go_on(const Trace& trace, int entries) {
    if (!target_ || trace.entries().empty()) return;
    const Tick newest = trace.entries().back().at;
    for (int i = 0; i < entries && now_.next < trace.entries().size(); ++i) {
        const TraceEntry& entry = trace.entries()[now_.next];
        if (newest - entry.at < kHalfWindow_ms) return;
        keep();
        judge(now_, trace, entry, newest);
        ++now_.next;
        now_.needs = entry.at + kHalfWindow_ms;
    }
}

/// The furthest state that a drop at that time leaves as it is.
DeviationSum::State DeviationSum::before(Tick drop) const {
    if (now_.next > 0 && now_.needs <= drop) return now_;
    const std::size_t oldest = times_kept_ > kept_.size() ? times_kept_ - kept_.size() : 0;
    for (std::size_t i = times_kept_; i > oldest; --i) {
        const State& state = kept_[(i - 1) % kept_.size()];
        if (state.needs <= drop) return state;
    }
    return {};
}

DeviationSummary DeviationSum::until(const Trace& trace, Tick drop) const {
    State state = before(drop);
    for (; state.next < trace.entries().size() && trace.entries()[state.next].at <= drop; ++state.next)
        judge(state, trace, trace.entries()[state.next], drop);
    DeviationSummary summary;
    summary.max_c = state.max_c;
    summary.max_at_s = state.max_at_s;
    summary.max_ahead_s = state.max_ahead_s;
    summary.max_behind_s = state.max_behind_s;
    summary.outside_total_s = state.outside.total_s();
    summary.outside_s = state.outside.longest_s();
    summary.far_outside_s = state.far_outside.longest_s();
    summary.gap_s = state.gap.longest_s();
    if (const auto end = end_temperature(trace, drop)) summary.end_c = *end - target_->end_c();
    return summary;
}

}  // namespace drumwatch

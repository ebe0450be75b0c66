#include <algorithm>
#include <cmath>

#include "roast/milestones/milestones.hpp"

namespace drumwatch {

namespace {
// Judgement. The empty drum's probe falls by whole degrees a second once the discharge door is open; a burner
// move or the dip at first crack changes the slope by some 0.05 C/s, tens of seconds long.
constexpr std::int64_t kEarliest_ms = 120'000;
constexpr double kHotEnough_c = 150;
constexpr std::int64_t kLineFrom_ms = 32'000;     // the line is fitted from here ...
constexpr std::int64_t kLineTo_ms = 12'000;       // ... to here before now
constexpr std::int64_t kLineAtLeast_ms = 10'000;  // a shorter line, after a gap, points anywhere
constexpr std::int64_t kBelowFor_ms = 2'000;
constexpr double kBelow_c = 4;
constexpr std::size_t kKept = 400;  // 40 s at 10 Hz
}  // namespace

DropDetector::DropDetector() : recent_(kKept) {}

void DropDetector::start(Tick charge) {
    recent_.clear();
    charge_ = charge;
}

/// The time at which a second line, starting on the first, leaves it so that the squares are least.
std::optional<Found> DropDetector::hinge(double level, double slope, Tick reference) const {
    const Tick now = recent_.back().at;
    double best_error = -1;
    Tick best = now;
    for (std::int64_t back = kLineTo_ms; back >= 250; back -= 50) {
        const Tick knee = now - back;
        double uu = 0, ur = 0, rr = 0;
        for (std::size_t i = recent_.size(); i-- > 0 && now - recent_[i].at <= kLineTo_ms;) {
            const double r = recent_[i].bean_c - level - slope * seconds_between(reference, recent_[i].at);
            const double u = std::fmax(0.0, seconds_between(knee, recent_[i].at));
            uu += u * u;
            ur += u * r;
            rr += r * r;
        }
        if (uu <= 0) continue;
        const double error = rr - ur * ur / uu;
        if (best_error >= 0 && error >= best_error) continue;
        best_error = error;
        best = knee;
    }
    if (best_error < 0) return std::nullopt;
    return Found{best, level + slope * seconds_between(reference, best)};
}

/// Without single spikes: the middle one of a point and its neighbours.
double DropDetector::despiked_c(std::size_t i) const {
    if (i == 0 || i + 1 >= recent_.size()) return recent_[i].bean_c;
    const double before = recent_[i - 1].bean_c;
    const double after = recent_[i + 1].bean_c;
    return std::clamp(recent_[i].bean_c, std::min(before, after), std::max(before, after));
}

std::optional<Found> DropDetector::add(BeanPoint point) {
    recent_.push(point);
    if (point.at - charge_ < kEarliest_ms) return std::nullopt;
    double n = 0, sum_t = 0, sum_v = 0, sum_tt = 0, sum_tv = 0;
    std::int64_t oldest = kLineTo_ms, newest = kLineFrom_ms;  // ages in the line
    for (std::size_t i = 0; i < recent_.size(); ++i) {
        const std::int64_t age = point.at - recent_[i].at;
        if (age > kLineFrom_ms || age < kLineTo_ms) continue;
        oldest = std::max(oldest, age);
        newest = std::min(newest, age);
        const double t = seconds_between(point.at, recent_[i].at);
        const double v = despiked_c(i);
        n += 1, sum_t += t, sum_v += v, sum_tt += t * t, sum_tv += t * v;
    }
    const double spread = n * sum_tt - sum_t * sum_t;
    if (n < 5 || spread <= 0 || oldest - newest < kLineAtLeast_ms) return std::nullopt;
    const double slope = (n * sum_tv - sum_t * sum_v) / spread;
    const double level = (sum_v - slope * sum_t) / n;
    if (level < kHotEnough_c) return std::nullopt;
    for (std::size_t i = recent_.size(); i-- > 0 && point.at - recent_[i].at <= kBelowFor_ms;) {
        const double line = level + slope * seconds_between(point.at, recent_[i].at);
        if (recent_[i].bean_c > line - kBelow_c) return std::nullopt;
    }
    return hinge(level, slope, point.at);
}

}  // namespace drumwatch

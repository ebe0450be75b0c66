#include "roast/milestones/hinge.hpp"

#include <cmath>

namespace drumwatch {

namespace {
constexpr double kBeforeHinge_s = 14;
constexpr std::int64_t kOnItsWay_ms = 1'000;
constexpr double kHingeTo_c = 10;    // further from the line the fall is no longer straight
constexpr double kKneeFrom_s = 7;    // the knee lies at most so long before the line was left ...
constexpr double kKneeBefore_s = 3;  // ... and so long before now
constexpr double kBentFrom_s = 12;
constexpr std::int64_t kMeanOf_ms = 450;  // what the knee is fitted to: two readings at 4 Hz
constexpr double kBent = 0.7;             // of the hinge's squares: less, and it bends
constexpr std::size_t kFew = 30;
}  // namespace

void HingeSearch::take(const RingBuffer<BeanPoint>& recent, const CurveLine& line, Tick since) {
    fit_ = {};
    since_ = since;
    to_s_ = std::fmax(2, seconds_between(since, recent.back().at) - kKneeBefore_s);
    std::size_t last = recent.size();
    for (std::size_t i = recent.size(); i-- > 0;) {
        const BeanPoint& point = recent[i];
        if (point.at - since < kOnItsWay_ms) break;
        if (std::fabs(point.bean_c - line.at(point.at)) > kHingeTo_c) last = i + 1;
    }
    take_means(recent, line, last);
}

/// Of some readings, newest first.
void HingeSearch::take_means(const RingBuffer<BeanPoint>& recent, const CurveLine& line, std::size_t last) {
    const double level_c = line.at(since_);
    double t_s = 0, off_c = 0, n = 0;
    Tick newest = recent[last - 1].at;
    for (std::size_t i = last; i-- > 0;) {
        const BeanPoint& point = recent[i];
        const double at_s = seconds_between(since_, point.at);
        if (-at_s > kBeforeHinge_s) break;
        if (n > 0 && newest - point.at >= kMeanOf_ms) {
            fit_.add(t_s / n, off_c / n);
            t_s = off_c = n = 0;
            newest = point.at;
        }
        t_s += at_s;
        off_c += point.bean_c - level_c - line.per_s * at_s;
        n += 1;
    }
    if (n > 0) fit_.add(t_s / n, off_c / n);
}

Hinge HingeSearch::found() const {
    const double bent = fit_.bent_error(knee_.at_s, kBentFrom_s);
    return {since_ + std::llround(knee_.at_s * 1000), bent >= kBent * knee_.error};
}

std::optional<Hinge> HingeSearch::go_on(const RingBuffer<BeanPoint>& recent, const CurveLine& line,
                                        Tick since) {
    if (next_ == Step::gather) {
        take(recent, line, since);
        next_ = Step::find_knee;
        if (fit_.size() > kFew) return std::nullopt;
    }
    if (next_ == Step::find_knee) {
        knee_ = fit_.sharpest(-kKneeFrom_s, to_s_);
        next_ = Step::compare;
        if (fit_.size() > kFew) return std::nullopt;
    }
    return found();
}

}  // namespace drumwatch

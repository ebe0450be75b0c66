#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "roast/milestones/milestones.hpp"

namespace drumwatch {

namespace {
// Judgement, from the reference drum (a probe of 30 s lag falls 5.6 C/s at charge) and a hot-air machine (15
// s lag).
constexpr double kFall_c = 15;  // seen at least
constexpr std::int64_t kFallWithin_ms = 12'000;
constexpr double kFirstDegrees_c = 3;  // the line starts below the noise
constexpr double kHotEnough_c = 80;    // nobody charges a colder drum
constexpr std::int64_t kQuiet_ms = 5'000;
constexpr double kQuietFall_c = 1.5;  // over kQuiet_ms
constexpr std::int64_t kNear_ms = 3'000;
constexpr std::size_t kKept = 256;  // 25 s at 10 Hz
}  // namespace

ChargeDetector::ChargeDetector() : recent_(kKept) {}

void ChargeDetector::restart() {
    recent_.clear();
    armed_ = false;
}

std::optional<double> ChargeDetector::near(Tick when) const {
    const BeanPoint* best = nullptr;
    for (std::size_t i = 0; i < recent_.size(); ++i) {
        const BeanPoint& point = recent_[i];
        if (!best || std::llabs(point.at - when) < std::llabs(best->at - when)) best = &point;
    }
    if (!best || std::llabs(best->at - when) > kNear_ms) return std::nullopt;
    return best->bean_c;
}

bool ChargeDetector::quiet() const {
    const BeanPoint& now = recent_.back();
    if (now.at - recent_[0].at < kQuiet_ms) return false;
    for (std::size_t i = recent_.size(); i-- > 0;) {
        if (now.at - recent_[i].at >= kQuiet_ms) return now.bean_c > recent_[i].bean_c - kQuietFall_c;
    }
    return false;
}

/// Mean of the readings from 6 s to 1 s before the fall.
double ChargeDetector::level_before(Tick fall) const {
    double sum = 0;
    int count = 0;
    for (std::size_t i = 0; i < recent_.size(); ++i) {
        const std::int64_t before = fall - recent_[i].at;
        if (before < 1'000 || before > 6'000) continue;
        sum += recent_[i].bean_c;
        ++count;
    }
    return count > 0 ? sum / count : recent_[0].bean_c;
}

std::optional<Found> ChargeDetector::back_date(std::size_t top) const {
    const double level = level_before(recent_[top].at);
    double n = 0, sum_t = 0, sum_v = 0, sum_tt = 0, sum_tv = 0;
    const Tick reference = recent_[top].at;
    for (std::size_t i = top; i < recent_.size(); ++i) {
        const double v = recent_[i].bean_c;
        if (v > level - kFirstDegrees_c) continue;
        const double t = seconds_between(reference, recent_[i].at);
        n += 1;
        sum_t += t;
        sum_v += v;
        sum_tt += t * t;
        sum_tv += t * v;
        if (v < level - kFall_c && n >= 2) break;
    }
    const double spread = n * sum_tt - sum_t * sum_t;
    if (n < 2 || spread <= 0) return std::nullopt;
    const double slope = (n * sum_tv - sum_t * sum_v) / spread;
    if (slope >= 0) return std::nullopt;
    const double at_s = (level - (sum_v - slope * sum_t) / n) / slope;
    const auto ms = static_cast<std::int64_t>(std::llround(at_s * 1000));
    return Found{reference + ms, level};
}

std::optional<Found> ChargeDetector::add(BeanPoint point) {
    if (recent_.size() > 0 && point.at - recent_.back().at > kQuiet_ms) restart();
    recent_.push(point);
    if (!armed_ && quiet()) {
        armed_ = true;
        armed_from_ = point.at - kQuiet_ms;
    }
    if (!armed_) return std::nullopt;

    std::size_t top = recent_.size() - 1;  // the last reading before the fall
    for (std::size_t i = recent_.size(); i-- > 0;) {
        if (point.at - recent_[i].at > kFallWithin_ms || recent_[i].at < armed_from_) break;
        if (recent_[i].bean_c > recent_[top].bean_c) top = i;
    }
    const double high = recent_[top].bean_c;
    if (high < kHotEnough_c || high - point.bean_c < kFall_c) return std::nullopt;
    const auto found = back_date(top);
    if (found) restart();
    return found;
}

}  // namespace drumwatch

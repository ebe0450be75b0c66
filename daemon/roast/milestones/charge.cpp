#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "core/line_fit.hpp"
#include "roast/milestones/milestones.hpp"

namespace drumwatch {

namespace {
constexpr double kHotEnough_c = 110;  // nobody charges a colder drum
constexpr std::int64_t kFallWithin_ms = 25'000;
constexpr double kFallAtLeast_c = 30;
constexpr double kFallShare = 0.20;  // of the level before
// Where the fall leads to, as a share of the level: coffee takes half and more, an opened door a third.
constexpr double kLeadsShare = 0.36;
constexpr double kStrictFallShare = 0.30;
constexpr double kStrictLeadsShare = 0.52;
constexpr std::int64_t kSlope_ms = 1'500;  // slopes are taken over this
constexpr double kSteep_c_per_s = 1.2;
constexpr double kFlatShare = 0.35;    // of the steepest: there the fall has not begun
constexpr double kFallsBefore = 0.30;  // of the steepest: more, and it is no break
constexpr std::int64_t kBeforeFrom_ms = 10'000;
constexpr std::int64_t kBeforeTo_ms = 700;
constexpr std::int64_t kBeforeAtLeast_ms = 2'000;
constexpr double kColdBeans_c = 45;      // what a probe among just charged beans heads for
constexpr double kDateFrom_c = 2.5;      // the part of the fall that dates it: below the noise ...
constexpr double kDateToShare = 0.3;     // ... until the beans have warmed
constexpr std::int64_t kGap_ms = 9'000;  // three lost readings at 1 Hz, and three until the next is believed
constexpr std::int64_t kNear_ms = 3'000;
constexpr std::size_t kKept = 400;  // 40 s at 10 Hz
}  // namespace

ChargeDetector::ChargeDetector() : recent_(kKept) {}

void ChargeDetector::restart() {
    recent_.clear();
    found_ = false;
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

/// Within the last while, and far.
bool ChargeDetector::fell() const {
    const BeanPoint& now = recent_.back();
    for (std::size_t i = recent_.size(); i-- > 0 && now.at - recent_[i].at <= kFallWithin_ms;)
        if (recent_[i].bean_c - now.bean_c >= kFallAtLeast_c) return true;
    return false;
}

/// The newest point that is `by_ms` or more before that one; the oldest where there is none.
std::size_t ChargeDetector::earlier(std::size_t from, std::int64_t by_ms) const {
    std::size_t i = from;
    while (i > 0 && recent_[from].at - recent_[i].at < by_ms) --i;
    return i;
}

/// Degrees fallen a second between two readings.
double ChargeDetector::steepness(std::size_t from, std::size_t to) const {
    if (from == to) return 0;
    return (recent_[from].bean_c - recent_[to].bean_c) / seconds_between(recent_[from].at, recent_[to].at);
}

/// Backwards along the fall, by slopes over kSlope_ms, until it is flat, and has been: a spike in the fall is
/// flat as well.
std::optional<ChargeDetector::Fall> ChargeDetector::fall() const {
    Fall fall;
    std::size_t before = recent_.size() - 1;
    for (std::size_t i = recent_.size(); i-- > 1;) {
        if (recent_.back().at - recent_[i].at > kFallWithin_ms) return std::nullopt;
        while (before > 0 && recent_[i].at - recent_[before].at < kSlope_ms) --before;
        const double per_s = steepness(before, i);
        fall.steepest_per_s = std::max(fall.steepest_per_s, per_s);
        const double flat_per_s = kFlatShare * fall.steepest_per_s;
        if (fall.steepest_per_s < kSteep_c_per_s || per_s >= flat_per_s) continue;
        if (steepness(earlier(before, kSlope_ms), before) >= flat_per_s) continue;
        fall.knee = i;
        return fall;
    }
    return std::nullopt;
}

std::optional<CurveLine> ChargeDetector::line_before(const Fall& fall) const {
    const Tick knee = recent_[fall.knee].at;
    LineFit fit;
    std::int64_t oldest_ms = kBeforeTo_ms;
    for (std::size_t i = fall.knee + 1; i-- > 0;) {
        const std::int64_t before_ms = knee - recent_[i].at;
        if (before_ms > kBeforeFrom_ms) break;
        if (before_ms < kBeforeTo_ms) continue;
        fit.add(-before_ms, to_milli(recent_[i].bean_c).value_or(0));
        oldest_ms = before_ms;
    }
    if (oldest_ms - kBeforeTo_ms < kBeforeAtLeast_ms || !fit.has_line()) return std::nullopt;
    return CurveLine{knee, fit.value_at(0), fit.per_second()};
}

/// A first-order fall slows down by the share of its way that it has made: that tells where it leads to.
bool ChargeDetector::deep_enough(const Fall& fall, const CurveLine& before) const {
    const std::size_t last = recent_.size() - 1;
    const std::size_t back = earlier(last, kSlope_ms);
    const double fallen_c = before.level_c - recent_.back().bean_c;
    const double need = strict_ ? kStrictFallShare : kFallShare;
    if (fallen_c < std::fmax(kFallAtLeast_c, need * before.level_c)) return false;
    const double leads_c = (strict_ ? kStrictLeadsShare : kLeadsShare) * before.level_c;
    const double now_per_s =
        (recent_[back].bean_c - recent_[last].bean_c) / seconds_between(recent_[back].at, recent_[last].at);
    const double left = std::fmin(1, now_per_s / fall.steepest_per_s);
    return fallen_c >= leads_c * std::fmin(1, 1.06 - left);
}

std::optional<Found> ChargeDetector::back_date(const Fall& fall, const CurveLine& before) const {
    const double way_c = before.level_c - kColdBeans_c;
    const Tick knee = recent_[fall.knee].at;
    LineFit fit;  // of a logarithm, in millionths of it
    for (std::size_t i = fall.knee; i < recent_.size(); ++i) {
        const double fallen_c = before.at(recent_[i].at) - recent_[i].bean_c;
        if (fallen_c < kDateFrom_c) continue;
        fit.add(recent_[i].at - knee, std::llround(-1e6 * std::log1p(-std::fmin(0.9, fallen_c / way_c))));
        if (fallen_c > kDateToShare * way_c && fit.count() >= 3) break;
    }
    if (!fit.has_line() || fit.per_second() <= 0) return std::nullopt;
    const Tick at = knee + std::llround(-fit.value_at(0) / fit.per_second() * 1000);
    MilestoneWhy why{FoundBy::steep_fall, 0, to_milli(before.level_c - recent_.back().bean_c).value_or(0)};
    const bool calm = std::fabs(before.per_s) < 0.3;
    why.confidence_percent = static_cast<std::uint8_t>(strict_ ? 70 : calm ? 95 : 85);
    return Found{at, before.at(at), why};
}

std::optional<Found> ChargeDetector::add(BeanPoint read) {
    const auto point = sieve_.add(read);
    if (!point) return std::nullopt;
    if (recent_.size() > 0 && point->at - recent_.back().at > kGap_ms) recent_.clear();
    highest_c_ = recent_.size() > 0 ? std::max(highest_c_, point->bean_c) : point->bean_c;
    recent_.push(*point);
    if (found_ || highest_c_ - point->bean_c < kFallAtLeast_c) return std::nullopt;
    if (!fell()) return std::nullopt;
    const auto steep = fall();
    const auto before = steep ? line_before(*steep) : std::nullopt;
    if (!before || before->level_c < kHotEnough_c) return std::nullopt;
    if (-before->per_s > kFallsBefore * steep->steepest_per_s || !deep_enough(*steep, *before))
        return std::nullopt;
    const auto charge = back_date(*steep, *before);
    found_ = charge.has_value();
    return charge;
}

}  // namespace drumwatch

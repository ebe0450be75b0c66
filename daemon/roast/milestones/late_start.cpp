#include <algorithm>
#include <cmath>

#include "roast/milestones/milestones.hpp"

namespace drumwatch {

namespace {
constexpr std::int64_t kTurnsAtMost_ms = 130'000;
constexpr std::int64_t kBeforeFirst_ms = 16'000;  // the charge lies somewhere before the first reading
constexpr double kFallsAtLeast_c = 1.5;
constexpr double kFallsABit_c = 0.3;  // enough where the lowest came later: what rises begins with it
constexpr std::int64_t kFallsFor_ms = 8'000;
constexpr double kColdestTurn_c = 40;
constexpr double kHottestTurn_c = 125;
// A preheat swings by some 20 C and rests; a roast rises all the time until it is hot.
constexpr std::int64_t kWatchedFor_ms = 90'000;  // a slow fall after so much of a rise is a drop too
constexpr std::int64_t kEarliestDrop_ms = 30'000;
constexpr double kFirstAtLeast_c = 60;  // colder: a drum that is heated up
constexpr double kHot_c = 185;
constexpr double kRisesAtLeast_c = 8;
constexpr double kHottest_c = 250;
constexpr double kRises_c_per_s = 0.04;
constexpr double kRisesAtMost_c_per_s = 0.45;  // faster: a drum that is heated up
constexpr double kRisesInAll_c_per_s = 0.6;
constexpr double kBelowFirst_c = 3;
constexpr int kSure_percent = 70;
constexpr double kStaysOff_c = 5;
constexpr std::int64_t kNoCharge_ms = 20'000;  // a charge would have been found by then ...
constexpr std::int64_t kNoDeepCharge_ms = 26'000;
constexpr double kDeepShare = 0.78;  // ... or, where it fell below so much of what it was, by then
}  // namespace

void LateStart::begin(BeanPoint point) {
    first_ = point;
    lowest_c_ = point.bean_c;
    turning_.start(point.at - kBeforeFirst_ms);
    drop_.start(point.at, kEarliestDrop_ms);
}

bool LateStart::may_be_roasting() const {
    return drop_.line() && drop_.line()->per_s >= kRises_c_per_s &&
           drop_.line()->per_s <= kRisesAtMost_c_per_s && first_->bean_c >= kFirstAtLeast_c &&
           lowest_c_ >= first_->bean_c - kBelowFirst_c;
}

bool LateStart::rises_like_a_roast(double now_c) const {
    if (!may_be_roasting() || now_c < kHot_c || now_c > kHottest_c) return false;
    const double all_s = seconds_between(first_->at, drop_.line()->from);
    const double risen_c = now_c - first_->bean_c;
    return risen_c >= kRisesAtLeast_c && risen_c <= kRisesInAll_c_per_s * all_s;
}

bool LateStart::is_turning_point(const Found& found) const {
    const std::int64_t into_ms = found.at - first_->at;
    const double fallen_c = first_->bean_c - found.bean_c;
    const bool fell = fallen_c >= kFallsAtLeast_c || (into_ms >= kFallsFor_ms && fallen_c >= kFallsABit_c);
    return into_ms <= kTurnsAtMost_ms && found.bean_c >= kColdestTurn_c && found.bean_c <= kHottestTurn_c &&
           fell;
}

std::optional<LateStart::Milestones> LateStart::add(BeanPoint read) {
    if (over_) return std::nullopt;
    const auto point = sieve_.add(read);
    if (!first_ && !point) return std::nullopt;
    if (!first_) begin(*point);
    if (const auto turned = turning_.add(read); turned && is_turning_point(*turned)) {
        over_ = true;
        return Milestones{first_->at, turned, std::nullopt};
    }
    drop_.believe_slow_falls(read.at - first_->at >= kWatchedFor_ms);
    const auto dropped = drop_.add(read, may_be_roasting());
    if (dropped && !dropped_ && dropped->why.confidence_percent >= kSure_percent &&
        rises_like_a_roast(dropped->bean_c))
        dropped_ = dropped;
    if (!dropped_) {
        if (drop_.line()) lowest_c_ = std::min(lowest_c_, drop_.line()->level_c);
        may_roast_ = drop_.line() && rises_like_a_roast(drop_.line()->level_c);
        return std::nullopt;
    }
    if (!point) return std::nullopt;
    const bool deep = point->bean_c < kDeepShare * dropped_->bean_c;
    if (read.at - dropped_->at < (deep ? kNoDeepCharge_ms : kNoCharge_ms)) return std::nullopt;
    const double off_c = std::fabs(point->bean_c - dropped_->bean_c);
    if (off_c < kStaysOff_c) {  // the preheat went on
        dropped_.reset();
        return std::nullopt;
    }
    over_ = true;
    may_roast_ = false;
    dropped_->why.confidence_percent = 60;
    return Milestones{first_->at, std::nullopt, dropped_};
}

}  // namespace drumwatch

#include "roast/signal/probe_watch.hpp"

#include <algorithm>
#include <cmath>

namespace drumwatch {

namespace {

constexpr double kNearRoom_c = 15;
constexpr double kLeavesRoom_c = 20;
constexpr double kHot_c = 40;  ///< above the room
constexpr double kLeastDrop_c = 60;
constexpr double kDropPerSecond = 25;  ///< nothing in a machine moves a probe faster
constexpr std::int64_t kApart_ms = 1'000;
constexpr std::int64_t kShorted_ms = 1'500;

constexpr double kBelowRoom_c = 5;
constexpr double kRightAgain_c = 2;
constexpr double kLeastHeating_c = 20;
constexpr double kLeastFall_c = 10;
constexpr double kFallShare = 0.3;
constexpr double kFarBelow_c = 30;
constexpr double kFarAbove_c = 60;
constexpr int kReversedReadings = 3;

constexpr std::int64_t kResting_ms = 120'000;
constexpr int kRestingReadings = 8;
constexpr double kMovedAway_c = 25;

bool hot_beside(const Surroundings& around) {
    return around.hottest && *around.hottest >= around.room_c + kHot_c;
}

}  // namespace

bool ShortWatch::dropped(double value_c, Tick now) const {
    return std::any_of(before_.begin(), before_.end(), [&](const Point& point) {
        const double least_c = std::fmax(kLeastDrop_c, kDropPerSecond * seconds_between(point.at, now));
        return point.value_c - value_c >= least_c;
    });
}

/// The first is the newest reading; the others move on when they are a second old.
void ShortWatch::remember(double value_c, Tick now) {
    if (now - before_[1].at >= kApart_ms) {
        before_[3] = before_[2];
        before_[2] = before_[1];
        before_[1] = before_[0];
    }
    before_[0] = {now, value_c};
}

Quality ShortWatch::judge(Quality judged, double value_c, Tick now, const Surroundings& around) {
    const bool cold = value_c <= around.room_c + (since_ ? kLeavesRoom_c : kNearRoom_c);
    if (!cold || !hot_beside(around)) {
        since_.reset();
    } else if (!since_ && dropped(value_c, now)) {
        since_ = now;
    }
    remember(value_c, now);
    if (!since_ || !has_value(judged)) return judged;
    return now - *since_ >= kShorted_ms ? Quality::short_circuit : Quality::suspect;
}

bool ReversedWatch::begins(double value_c, const Surroundings& around) const {
    const double below_c = around.room_c - value_c;
    if (below_c < kBelowRoom_c) return false;
    if (below_c >= kFarBelow_c && *around.hottest >= around.room_c + kFarAbove_c) return true;
    const double heated_c = *around.hottest - *coldest_other_;
    const double fell_c = own_then_ - value_c;
    return heated_c >= kLeastHeating_c && fell_c >= kLeastFall_c && fell_c >= kFallShare * heated_c;
}

Quality ReversedWatch::judge(Quality judged, double value_c, const Surroundings& around) {
    if (!around.hottest) return reversed_ ? Quality::reversed : judged;
    if (!coldest_other_ || *around.hottest < *coldest_other_) {
        coldest_other_ = around.hottest;
        own_then_ = value_c;
    }
    seen_ = begins(value_c, around) ? std::min(seen_ + 1, kReversedReadings) : 0;
    if (seen_ == kReversedReadings) reversed_ = true;
    if (value_c > around.room_c - kRightAgain_c) reversed_ = false;
    return reversed_ ? Quality::reversed : judged;
}

Quality RestingWatch::judge(Quality judged, double value_c, Tick now, const Surroundings& around) {
    if (value_c_ != value_c) {
        *this = {};
        value_c_ = value_c;
        since_ = now;
        moving_then_ = around.moving_c;
        return judged;
    }
    ++same_;
    if (!moving_then_) moving_then_ = around.moving_c;
    const bool long_enough = now - since_ >= kResting_ms && same_ >= kRestingReadings;
    if (long_enough && around.moving_c && std::fabs(*around.moving_c - *moving_then_) >= kMovedAway_c)
        rests_ = true;
    return rests_ && is_good(judged) ? Quality::frozen : judged;
}

Quality ProbeWatch::judge(Quality judged, double value_c, Tick now, const Surroundings& around) {
    const Quality shorted = shorted_.judge(judged, value_c, now, around);
    const Quality reversed = reversed_.judge(shorted, value_c, around);
    return resting_.judge(reversed, value_c, now, around);
}

}  // namespace drumwatch

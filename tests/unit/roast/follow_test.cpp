#include <doctest/doctest.h>

#include <cmath>

#include "roast/follow/follow.hpp"
#include "support/targets.hpp"

using namespace drumwatch;

namespace {
/// As at the first tick: the drift is what the rates say now.
FollowView follow_now(const TargetCurve& curve, const BeanNow& now, double outside_for_s = 0) {
    RiseDrift drift;
    return follow(curve, now, outside_for_s, drift);
}
}  // namespace

TEST_CASE("deviation is measured minus target, ahead is positive") {
    const TargetCurve curve(share(straight_target()));
    const FollowView hot = follow_now(curve, {360, 142.0, 12.0, {}});
    CHECK(*hot.deviation_c == doctest::Approx(2.0));
    CHECK(*hot.ahead_s == doctest::Approx(10.0));
    CHECK(hot.outside);
    CHECK(hot.judged_now);
    const FollowView behind = follow_now(curve, {360, 139.5, 12.0, {}});
    CHECK(*behind.ahead_s == doctest::Approx(-2.5));
    CHECK_FALSE(behind.outside);
    CHECK_FALSE(behind.leaves_in_s);
}

TEST_CASE("no reading gives no deviation, never the last one") {
    const TargetCurve curve(share(straight_target()));
    const FollowView blind = follow_now(curve, {360, std::nullopt, std::nullopt, {}}, 4);
    CHECK_FALSE(blind.deviation_c);
    CHECK_FALSE(blind.ahead_s);
    CHECK(blind.target_c == doctest::Approx(140));
    CHECK(fan(blind).empty());
}

TEST_CASE("leaving the corridor is said before it happens, and the fan widens") {
    const TargetCurve curve(share(straight_target()));
    CHECK_FALSE(follow_now(curve, {360, 140.4, 12.0, 0.0}).leaves_in_s);
    const FollowView drifting = follow_now(curve, {360, 140.4, 13.0, 8.0});  // the burner 8 % over the plan
    REQUIRE(drifting.leaves_in_s);
    CHECK(*drifting.leaves_in_s > 5);
    CHECK(*drifting.leaves_in_s < 25);
    const FollowView falling = follow_now(curve, {360, 139.6, 11.0, -8.0});
    CHECK(*falling.leaves_in_s == doctest::Approx(*drifting.leaves_in_s).epsilon(0.01));
    const auto points = fan(drifting);
    REQUIRE(points.size() == 7);
    for (std::size_t i = 1; i < points.size(); ++i) {
        CHECK(points[i].high_c - points[i].low_c > points[i - 1].high_c - points[i - 1].low_c);
    }
    CHECK_FALSE(follow_now(curve, {100, 88.0, 20.0, {}}).judged_now);
}

TEST_CASE("the drift follows the difference of the rates slowly, and no spike of it far") {
    RiseDrift drift;
    CHECK(drift.add(1, 200) == doctest::Approx(1));
    double now = 0;
    for (int i = 1; i <= 32; ++i) now = drift.add(3, 200 + 0.25 * i);  // 8 s: a time constant
    CHECK(now == doctest::Approx(3 - 2 * std::exp(-1)).epsilon(0.03));
    const double before = now;
    CHECK(drift.add(90, 208.25) - before < 0.25);
    CHECK(drift.add(-1, 230) == doctest::Approx(-1));  // after a gap it begins anew
}

TEST_CASE("the corridor opens after the target's drop as it does before its start") {
    const TargetCurve curve(share(straight_target()));
    CHECK(curve.corridor_at(curve.end_s()) == doctest::Approx(1.1));
    CHECK(curve.corridor_at(curve.end_s() + 1) == doctest::Approx(1.1 * (1 + 1.0 / 30)));
    CHECK(curve.corridor_at(curve.end_s() + 30) == doctest::Approx(2.2));
}

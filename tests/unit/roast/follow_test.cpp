#include <doctest/doctest.h>

#include "roast/follow/follow.hpp"
#include "support/targets.hpp"

using namespace drumwatch;

TEST_CASE("deviation is measured minus target, ahead is positive") {
    const TargetCurve curve(share(straight_target()));
    const FollowView hot = follow(curve, {360, 142.0, 12.0}, 0);
    CHECK(*hot.deviation_c == doctest::Approx(2.0));
    CHECK(*hot.ahead_s == doctest::Approx(10.0));
    CHECK(hot.outside);
    CHECK(hot.judged_now);
    const FollowView behind = follow(curve, {360, 139.5, 12.0}, 0);
    CHECK(*behind.ahead_s == doctest::Approx(-2.5));
    CHECK_FALSE(behind.outside);
    CHECK_FALSE(behind.leaves_in_s);
}

TEST_CASE("no reading gives no deviation, never the last one") {
    const TargetCurve curve(share(straight_target()));
    const FollowView blind = follow(curve, {360, std::nullopt, std::nullopt}, 4);
    CHECK_FALSE(blind.deviation_c);
    CHECK_FALSE(blind.ahead_s);
    CHECK(blind.target_c == doctest::Approx(140));
    CHECK(fan(blind).empty());
}

TEST_CASE("leaving the corridor is said before it happens, and the fan widens") {
    const TargetCurve curve(share(straight_target()));
    const FollowView drifting = follow(curve, {360, 140.5, 15.0}, 0);  // 3 C/min faster than the target
    REQUIRE(drifting.leaves_in_s);
    CHECK(*drifting.leaves_in_s > 10);
    CHECK(*drifting.leaves_in_s < 25);
    const auto points = fan(drifting);
    REQUIRE(points.size() > 2);
    for (std::size_t i = 1; i < points.size(); ++i) {
        CHECK(points[i].high_c - points[i].low_c > points[i - 1].high_c - points[i - 1].low_c);
    }
    CHECK_FALSE(follow(curve, {100, 88.0, 20.0}, 0).judged_now);
}

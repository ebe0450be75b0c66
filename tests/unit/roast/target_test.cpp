#include <doctest/doctest.h>

#include "roast/target/target_curve.hpp"
#include "support/targets.hpp"

using namespace drumwatch;

TEST_CASE("a target can be asked for temperature, rise and time") {
    const TargetCurve curve(share(straight_target()));
    CHECK(curve.bean_at(0) == doctest::Approx(200));
    CHECK(curve.bean_at(30) == doctest::Approx(140));
    CHECK(curve.bean_at(360) == doctest::Approx(140));
    CHECK(curve.bean_at(-5) == doctest::Approx(200));
    CHECK(curve.bean_at(900) == doctest::Approx(200));
    CHECK(curve.rise_per_min_at(360) == doctest::Approx(12));
    CHECK(*curve.time_at(140) == doctest::Approx(360));  // the rising part's, not the fall's
    CHECK_FALSE(curve.time_at(79));
    CHECK_FALSE(curve.time_at(201));
    CHECK(*curve.time_at_or_beyond(212) == doctest::Approx(720));
    CHECK(curve.turning_s() == doctest::Approx(60));
    CHECK(curve.end_s() == doctest::Approx(660));
    CHECK(curve.end_c() == doctest::Approx(199.5));  // mean of the last 5 s of 0.2 C/s
    CHECK(*curve.crack_c() == doctest::Approx(188));
}

TEST_CASE("the corridor: the larger of the tolerance and what the target rises in five seconds") {
    Target steep = straight_target();
    steep.points = {{0, 200}, {60, 80}, {300, 176}, {660, 200}};  // 0.4 C/s, then 0.067 C/s
    const TargetCurve curve(share(steep));
    CHECK(curve.corridor_at(200) == doctest::Approx(2.0));
    CHECK(curve.corridor_at(500) == doctest::Approx(1.1));
    CHECK(curve.here(200).hold_corridor_c == doctest::Approx(2.2));
    CHECK(curve.corridor_at(120) ==
          doctest::Approx(4.0));  // it opens before 150 s: twice as wide 30 s before
    CHECK(curve.corridor_at(149.9) == doctest::Approx(2.0).epsilon(0.01));
}

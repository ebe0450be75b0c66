#include <doctest/doctest.h>

#include <cmath>

#include "roast/forecast/forecast.hpp"
#include "support/targets.hpp"

using namespace drumwatch;

TEST_CASE("on the target the forecast is the target's own crack") {
    const TargetCurve curve(share(straight_target()));
    const CrackExpectation crack = expect_crack(&curve, {});
    CHECK(crack.crack_c == doctest::Approx(188));
    const auto forecast = forecast_crack(&curve, crack, 360, 140.0, 12.0, RiseTrend());
    REQUIRE(forecast.view);
    CHECK(forecast.view->at_s == doctest::Approx(600));
    CHECK(forecast.view->low_s < 600);
    CHECK(forecast.view->high_s > 600);
    CHECK(forecast.view->from_target);
}

TEST_CASE("a faster rise brings it forward, by a tenth of what a scaled curve would say") {
    const TargetCurve curve(share(straight_target()));
    const CrackExpectation crack = expect_crack(&curve, {});
    const auto forecast = forecast_crack(&curve, crack, 360, 140.0, 18.0, RiseTrend());
    CHECK(forecast.view->at_s == doctest::Approx(360 + 240 / 1.05));
}

TEST_CASE("without a target the rate falls as the last minute shows and flattens out: against small steps") {
    RiseTrend trend;
    const CrackExpectation crack{190, 1, false};
    for (int t = -60; t <= 0; ++t) trend.add(Tick{(t + 60) * 1000}, 140 + t * 0.3, 20 - 0.3 * (t * 0.3));
    CHECK(trend.slope() == doctest::Approx(-0.3).epsilon(1e-6));
    double bean = 140, at_s = 300;
    while (bean < 190) {
        bean += (7 + 13 * std::exp(-(bean - 140) * 0.3 / 13)) / 60 * 0.001;
        at_s += 0.001;
    }
    const auto forecast = forecast_crack(nullptr, crack, 300, 140.0, 20.0, trend);
    CHECK(forecast.view->at_s == doctest::Approx(at_s).epsilon(1e-4));
    // No curvature seen: a straight line.
    CHECK(forecast_crack(nullptr, crack, 300, 140.0, 20.0, RiseTrend()).view->at_s == doctest::Approx(450));
}

TEST_CASE("when it can't know it says why") {
    const CrackExpectation crack;
    CHECK(forecast_crack(nullptr, crack, 300, std::nullopt, std::nullopt, RiseTrend()).why ==
          NoForecast::no_reading);
    CHECK(forecast_crack(nullptr, crack, 300, 150.0, 0.2, RiseTrend()).why == NoForecast::not_rising);
    CHECK(forecast_crack(nullptr, crack, 300, 100.0, 2.0, RiseTrend()).why == NoForecast::too_far);
}

TEST_CASE("earlier roasts outweigh the target's crack, the more the more there are") {
    const TargetCurve curve(share(straight_target()));
    Lessons lessons{2, 192, 1.0};
    CHECK(expect_crack(&curve, lessons).crack_c == doctest::Approx(190));
    lessons.roasts = 200;
    CHECK(expect_crack(&curve, lessons).crack_c == doctest::Approx(192).epsilon(0.001));
    CHECK(expect_crack(&curve, lessons).spread_c == doctest::Approx(1.0).epsilon(0.05));
    CHECK(expect_crack(nullptr, {}).spread_c > 3);
}

TEST_CASE("past the crack temperature the forecast is now") {
    const TargetCurve curve(share(straight_target()));
    const auto forecast = forecast_crack(&curve, expect_crack(&curve, {}), 610, 190.0, 8.0, RiseTrend());
    CHECK(forecast.view->at_s == doctest::Approx(610));
    CHECK(forecast.view->low_s == doctest::Approx(610));
}

#include "roast/forecast/forecast.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "support/targets.hpp"

using namespace drumwatch;

namespace {
const RiseTrend kNoTrend;

ForecastInput input_of(const TargetCurve* target, const CrackExpectation& crack, double elapsed_s,
                       std::optional<double> smooth_c, std::optional<double> rise_per_min,
                       const RiseTrend& trend = kNoTrend) {
    ForecastInput input;
    input.target = target;
    input.crack = crack;
    input.elapsed_s = elapsed_s;
    input.smooth_c = smooth_c;
    input.rise_per_min = rise_per_min;
    input.trend = &trend;
    return input;
}

/// A person's mark is expected some seconds after the crack.
constexpr double kReaction_s = 3;
/// Half of the roasts take less than this of the mean time to go.
constexpr double kMedian = 0.996;
}  // namespace

TEST_CASE("on the target the mark is expected at the target's own crack, the crack itself before it") {
    const TargetCurve curve(share(straight_target()));
    const CrackExpectation crack = expect_crack(&curve, {});
    CHECK(crack.crack_c == doctest::Approx(188));
    const auto forecast = forecast_crack(input_of(&curve, crack, 360, 140.0, 12.0));
    REQUIRE(forecast.view);
    const double mark_s = 360 + kMedian * 240;
    CHECK(forecast.view->at_s == doctest::Approx(mark_s - kReaction_s).epsilon(1e-4));
    CHECK((forecast.view->low_s + forecast.view->high_s) / 2 == doctest::Approx(mark_s).epsilon(1e-4));
    CHECK(forecast.view->pace_s == doctest::Approx(0));
    CHECK(forecast.view->heat_s == doctest::Approx(0));
    CHECK(forecast.view->high_s - forecast.view->low_s > 20);
    CHECK(forecast.view->high_s - forecast.view->low_s < 60);
    CHECK(forecast.view->from_target);
    CHECK(forecast.view->by_target_s == doctest::Approx(240));
}

TEST_CASE("a faster rise brings it forward, by less than a scaled curve would say") {
    const TargetCurve curve(share(straight_target()));
    const CrackExpectation crack = expect_crack(&curve, {});
    const auto forecast = forecast_crack(input_of(&curve, crack, 360, 140.0, 18.0));
    CHECK(forecast.view->at_s < 600 - kReaction_s - 3);
    CHECK(forecast.view->at_s > 360 + 240 / 1.5 + 40);
    CHECK(forecast.view->heat_s < -3);
}

TEST_CASE("a roast that is ahead goes on a little faster, a slow coffee takes longer") {
    const TargetCurve curve(share(straight_target()));
    CrackExpectation crack = expect_crack(&curve, {});
    const auto usual = forecast_crack(input_of(&curve, crack, 360, 140.0, 12.0));
    const auto ahead = forecast_crack(input_of(&curve, crack, 330, 140.0, 12.0));
    CHECK(ahead.view->at_s - 330 < usual.view->at_s - 360);
    CHECK(ahead.view->at_s - 330 > usual.view->at_s - 360 - 15);
    crack.pace = std::log(1.05);
    const auto slow = forecast_crack(input_of(&curve, crack, 360, 140.0, 12.0));
    CHECK(slow.view->at_s - usual.view->at_s == doctest::Approx(0.05 * 240).epsilon(0.05));
    CHECK(slow.view->pace_s == doctest::Approx(12).epsilon(0.05));
}

TEST_CASE("without a target the rate falls as the last minute shows and flattens out: against small steps") {
    RiseTrend trend;
    const CrackExpectation crack{190, 1, false, 0, 0};
    for (int t = -60; t <= 0; ++t) trend.add(Tick{(t + 60) * 1000}, 140 + t * 0.3, 20 - 0.3 * (t * 0.3));
    CHECK(trend.slope() == doctest::Approx(-0.3).epsilon(1e-6));
    double bean = 140, at_s = 300;
    while (bean < 190) {
        bean += (7 + 13 * std::exp(-(bean - 140) * 0.3 / 13)) / 60 * 0.001;
        at_s += 0.001;
    }
    const auto forecast = forecast_crack(input_of(nullptr, crack, 300, 140.0, 20.0, trend));
    CHECK(forecast.view->at_s == doctest::Approx(at_s - kReaction_s).epsilon(1e-4));
    // No curvature seen: a straight line.
    const auto straight = forecast_crack(input_of(nullptr, crack, 300, 140.0, 20.0));
    CHECK(straight.view->at_s == doctest::Approx(450 - kReaction_s).epsilon(1e-4));
}

TEST_CASE("when it can't know it says why") {
    const CrackExpectation crack;
    const auto why = [&](std::optional<double> bean_c, std::optional<double> rise) {
        return forecast_crack(input_of(nullptr, crack, 300, bean_c, rise)).why;
    };
    CHECK(why(std::nullopt, std::nullopt) == NoForecast::no_reading);
    CHECK(why(150.0, 0.2) == NoForecast::not_rising);
    CHECK(why(100.0, 2.0) == NoForecast::too_far);
    // A target knows how a slow rise goes on, but not how a falling one does.
    const TargetCurve curve(share(straight_target()));
    CHECK(forecast_crack(input_of(&curve, expect_crack(&curve, {}), 360, 140.0, 0.4)).view);
    CHECK(forecast_crack(input_of(&curve, expect_crack(&curve, {}), 360, 140.0, -0.4)).why ==
          NoForecast::not_rising);
}

TEST_CASE("earlier roasts outweigh the target's crack, the more the more they are") {
    const TargetCurve curve(share(straight_target()));
    Lessons lessons;
    lessons.roasts = 3;
    lessons.weight = 3;
    lessons.crack_c = 192;
    lessons.crack_spread_c = 1.0;
    CHECK(expect_crack(&curve, lessons).crack_c == doctest::Approx((188 * 2.5 + 192 * 3) / 5.5));
    CHECK(expect_crack(&curve, lessons).roasts == 3);
    lessons.weight = 300;
    CHECK(expect_crack(&curve, lessons).crack_c == doctest::Approx(192).epsilon(0.001));
    CHECK(expect_crack(&curve, lessons).spread_c == doctest::Approx(1.0).epsilon(0.05));
    CHECK(expect_crack(nullptr, {}).spread_c > 3);
    CHECK(expect_crack(nullptr, lessons).crack_c == doctest::Approx(192).epsilon(0.001));
}

TEST_CASE("what has not happened yet is not expected in the past") {
    const TargetCurve curve(share(straight_target()));
    const CrackExpectation crack = expect_crack(&curve, {});
    double before_s = 0;
    for (double bean_c = 176; bean_c < 196; bean_c += 0.5) {
        CAPTURE(bean_c);
        const double now_s = 60 + (bean_c - 80) * 5;
        const auto forecast = forecast_crack(input_of(&curve, crack, now_s, bean_c, 12.0));
        REQUIRE(forecast.view);
        CHECK(forecast.view->at_s >= now_s);
        CHECK(forecast.view->low_s >= now_s);
        CHECK(forecast.view->high_s > forecast.view->low_s);
        CHECK(forecast.view->at_s >= before_s - 0.5);
        before_s = forecast.view->at_s;
    }
}

TEST_CASE("the shown forecast follows without jumping, and big news quickly") {
    SteadyForecast steady;
    CrackForecast fresh;
    fresh.view = ForecastView{};
    fresh.view->at_s = 500;
    fresh.view->low_s = 480;
    fresh.view->high_s = 520;
    CHECK(steady.add(Tick{0}, fresh, 300).view->at_s == 500);
    fresh.view->at_s = 506;
    double shown_s = 500;
    for (int i = 1; i <= 40; ++i) {
        const double next_s = steady.add(Tick{i * 250}, fresh, 300 + i * 0.25).view->at_s;
        CHECK(next_s >= shown_s);
        CHECK(next_s - shown_s <= 0.3 * 0.25 + 1e-9);
        shown_s = next_s;
    }
    CHECK(shown_s > 502.9);
    fresh.view->at_s = 600;
    for (int i = 41; i <= 160; ++i) shown_s = steady.add(Tick{i * 250}, fresh, 300 + i * 0.25).view->at_s;
    CHECK(shown_s > 585);
    // After a gap it begins anew.
    CHECK(steady.add(Tick{60'000}, fresh, 360).view->at_s == 600);
    CHECK_FALSE(steady.add(Tick{60'250}, {std::nullopt, NoForecast::no_reading}, 360.25).view);
}

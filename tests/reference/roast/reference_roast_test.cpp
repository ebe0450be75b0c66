// The reference drum case (drum_case.hpp: source and trust) as a probe would show it: 4 readings a second,
// 0.08 C noise, 0.1 C steps, a minute of hot drum before and the emptied drum after. Milestones by its table:
// turning point 66 s at 76.5 C, probe 150 C at 266 s, 198 C at 545 s, drop 660 s at 212.8 C.
#include <doctest/doctest.h>

#include <cmath>

#include "drum_case.hpp"
#include "rerun/rerun.hpp"
#include "support/random.hpp"
#include "support/roast_curve.hpp"

using namespace drumwatch;

namespace {

constexpr double kCrack_s = 545;
constexpr double kDrop_s = 660;
constexpr double kIdle_s = 60;

/// The case's probe readings, then an emptied drum (invented: towards 110 C with the probe's lag of 30 s).
double probe_c(const std::vector<reference::Point>& points, double since_charge_s) {
    if (since_charge_s < 0) return 195;
    if (since_charge_s <= kDrop_s) return reference::at(points, since_charge_s).state.probe_c;
    const double end_c = reference::at(points, kDrop_s).state.probe_c;
    return 110 + (end_c - 110) * std::exp(-(since_charge_s - kDrop_s) / 30);
}

RoastFile reference_file(std::uint64_t seed) {
    const auto points = reference::integrate(reference::drum_case(), kDrop_s, 0.25);
    TestRandom random(seed);
    RoastFile file;
    file.channels = {bean_channel()};
    for (double t = -kIdle_s; t <= kDrop_s + 40; t += 0.25) {
        RoastRow row;
        row.elapsed_ms = std::llround((t + kIdle_s) * 1000);
        row.values = {to_milli(std::round((probe_c(points, t) + 0.08 * random.normal()) * 10) / 10)};
        file.rows.push_back(row);
    }
    return file;
}

/// The crack temperature of the case, as earlier roasts would have taught it.
Lessons taught() {
    Lessons lessons;
    lessons.roasts = 1000;
    lessons.weight = 1000;
    lessons.crack_c = 198;
    lessons.crack_spread_c = 1.5;
    return lessons;
}

double since_charge(const RerunResult& result, Milestone milestone) {
    const auto& found = result.milestones[static_cast<std::size_t>(milestone)];
    REQUIRE(found);
    return static_cast<double>(found->at.ms) / 1000 - kIdle_s;
}

const ForecastAt& forecast_at(const RerunResult& result, double since_charge_s) {
    for (const ForecastAt& forecast : result.forecasts) {
        if (std::fabs(forecast.file_s - kIdle_s - since_charge_s) < 0.5) return forecast;
    }
    FAIL("no forecast at " << since_charge_s << " s");
    return result.forecasts.front();
}

}  // namespace

TEST_CASE("the reference case through the whole chain: milestones by the published table") {
    for (std::uint64_t seed = 1; seed <= 10; ++seed) {
        CAPTURE(seed);
        RerunOptions options;
        options.lessons = taught();
        const RerunResult result = rerun(reference_file(seed), options);
        CHECK(std::fabs(since_charge(result, Milestone::charge)) <= 0.5);
        CHECK(std::fabs(since_charge(result, Milestone::turning_point) - 66) <= 2);
        CHECK(std::fabs(since_charge(result, Milestone::yellow) - 266) <= 2);
        CHECK(std::fabs(since_charge(result, Milestone::first_crack) - kCrack_s) <= 3);
        CHECK(std::fabs(since_charge(result, Milestone::drop) - kDrop_s) <= 1);
        const auto& turning = result.milestones[static_cast<std::size_t>(Milestone::turning_point)];
        CHECK(std::fabs(from_milli(turning->bean_milli.value_or(0)) - 76.5) <= 0.3);
        CHECK(result.alarms.empty());
    }
}

TEST_CASE("a straight line is 97 s early five minutes into the reference case, the forecast is not") {
    const auto points = reference::integrate(reference::drum_case(), kDrop_s, 0.25);
    // Published: t + (198 - probe) / (mean rise of the last 30 s) gives 448 s at 300 s.
    const double now_c = probe_c(points, 300);
    const double rise = (now_c - probe_c(points, 270)) / 30;
    const double straight_s = 300 + (198 - now_c) / rise;
    CHECK(straight_s == doctest::Approx(448).epsilon(0.005));

    for (std::uint64_t seed = 1; seed <= 10; ++seed) {
        CAPTURE(seed);
        RerunOptions options;
        options.lessons = taught();
        const RerunResult result = rerun(reference_file(seed), options);
        const double error_300 = forecast_at(result, 300).at_s - kCrack_s;
        const double error_360 = forecast_at(result, 360).at_s - kCrack_s;
        const double error_420 = forecast_at(result, 420).at_s - kCrack_s;
        INFO("errors at 300, 360, 420 s: ", error_300, " ", error_360, " ", error_420);
        CHECK(std::fabs(error_300) < 0.6 * 97);
        CHECK(std::fabs(error_360) < 44);
        CHECK(std::fabs(error_420) < 25);
        CHECK(forecast_at(result, 300).low_s < kCrack_s);
        CHECK(forecast_at(result, 300).high_s > kCrack_s);
    }
}

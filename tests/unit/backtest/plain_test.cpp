// Bean lines, plain forecasts and the floor on straight pieces that can be reckoned in the head
// (support/targets.hpp).
#include <doctest/doctest.h>

#include "backtest/roast_check.hpp"
#include "support/roast_curve.hpp"
#include "support/targets.hpp"

using namespace drumwatch;

namespace {

constexpr double kIdle_s = 100;

/// 80 C at 60 s after the charge, then rising by `rise` degrees a minute; one reading a second. The charge is
/// at 100 s of the file.
RoastFile straight_roast(double rise, double end_s = 700) {
    RoastFile file;
    file.channels = {bean_channel()};
    for (int s = 0; s <= kIdle_s + end_s; ++s) {
        const double t_s = s - kIdle_s;
        const double bean_c = t_s < 0 ? 200 : t_s < 60 ? 200 - 2 * t_s : 80 + rise * (t_s - 60) / 60;
        RoastRow row;
        row.elapsed_ms = s * 1000;
        row.values = {to_milli(bean_c)};
        file.rows.push_back(row);
    }
    return file;
}

PlainInstants at(double rise, double now_s) {
    const TargetCurve target(share(straight_target()));
    return plain_forecasts(&target, bean_readings(straight_roast(rise)), kIdle_s + now_s);
}

}  // namespace

TEST_CASE("a roast on its target has all plain forecasts right") {
    const auto instants = at(12, 400);
    for (const auto& instant : instants) {
        REQUIRE(instant);
        CHECK(*instant == doctest::Approx(kIdle_s + 600).epsilon(1e-6));
    }
}

TEST_CASE("a slower roast: the line and the scaled rise see it, the shifted target does not") {
    // 9 degrees a minute: 131 C at 400 s. 57 degrees to go: 380 s by the line; the target takes 285 s.
    const auto instants = at(9, 400);
    CHECK(*instants[static_cast<std::size_t>(PlainForecast::straight_line)] ==
          doctest::Approx(kIdle_s + 780).epsilon(1e-5));
    CHECK(*instants[static_cast<std::size_t>(PlainForecast::shifted_target)] ==
          doctest::Approx(kIdle_s + 685).epsilon(1e-5));
    CHECK(*instants[static_cast<std::size_t>(PlainForecast::scaled_rise)] ==
          doctest::Approx(kIdle_s + 780).epsilon(1e-5));
}

TEST_CASE(
    "plain forecasts say nothing of a falling line, without readings or without a crack in the target") {
    for (const auto& instant : at(12, 30)) CHECK_FALSE(instant);
    for (const auto& instant : at(12, -90)) CHECK_FALSE(instant);
    Target target = straight_target();
    target.milestones = {};
    const TargetCurve without(share(target));
    const auto readings = bean_readings(straight_roast(12));
    for (const auto& instant : plain_forecasts(&without, readings, kIdle_s + 400)) CHECK_FALSE(instant);
    for (const auto& instant : plain_forecasts(nullptr, readings, kIdle_s + 400)) CHECK_FALSE(instant);
}

TEST_CASE("plain forecasts see nothing that comes after now") {
    const TargetCurve target(share(straight_target()));
    const auto whole = bean_readings(straight_roast(10));
    const auto cut = bean_readings(straight_roast(10, 400));
    const auto all = plain_forecasts(&target, whole, kIdle_s + 400);
    const auto until = plain_forecasts(&target, cut, kIdle_s + 400);
    for (std::size_t i = 0; i < kPlainForecasts; ++i) CHECK(*all[i] == *until[i]);
}

TEST_CASE("the floor is the instant at which the expected temperature is reached, carried on past the drop") {
    const auto readings = bean_readings(straight_roast(12));
    const RoastStretch roast{kIdle_s, kIdle_s + 620};
    CHECK(*reached_s(readings, roast, 188) == doctest::Approx(kIdle_s + 600).epsilon(1e-5));
    CHECK(*reached_s(readings, roast, 140) == doctest::Approx(kIdle_s + 360).epsilon(1e-5));
    CHECK(*reached_s(readings, roast, 198) == doctest::Approx(kIdle_s + 650).epsilon(1e-5));
}

TEST_CASE("spikes are left out, and the fall of the charge does not matter") {
    RoastFile file = straight_roast(12);
    for (const std::size_t at : {430u, 455u, 480u, 499u}) file.rows[at].values = {to_milli(250)};
    const TargetCurve target(share(straight_target()));
    const auto readings = bean_readings(file);
    for (const auto& instant : plain_forecasts(&target, readings, kIdle_s + 400))
        CHECK(*instant == doctest::Approx(kIdle_s + 600).epsilon(1e-4));
    CHECK(*bean_near(readings, 480) == doctest::Approx(144).epsilon(1e-4));
}

TEST_CASE("a file's truth: the last mark counts, another roast's do not, the first verdict cell does") {
    RoastFile file = straight_roast(12);
    file.rows[100].mark = Milestone::charge;
    file.rows[690].mark = Milestone::first_crack;
    file.rows[700].mark = Milestone::first_crack;
    file.rows[760].mark = Milestone::drop;
    file.rows[780].mark = Milestone::charge;
    file.rows[790].mark = Milestone::first_crack;
    file.unknown_columns = {"note", "verdict"};
    file.unknown_cells.assign(file.rows.size(), {"", ""});
    file.unknown_cells[5][1] = " ";
    file.unknown_cells[9][1] = "taste";
    file.unknown_cells[12][1] = "hold";
    FileTruth truth = truth_of(file);
    CHECK(*truth.at(Milestone::first_crack) == 700);
    CHECK(*truth.at(Milestone::charge) == 100);
    CHECK_FALSE(truth.at(Milestone::turning_point));
    CHECK(truth.verdict == Disposition::taste);
    file.unknown_cells[9][1] = "fine";
    truth = truth_of(file);
    CHECK_FALSE(truth.verdict);
    CHECK(truth.odd_verdict == "fine");
}

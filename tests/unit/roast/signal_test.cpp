#include <doctest/doctest.h>

#include <cmath>

#include "roast/signal/signal.hpp"
#include "support/random.hpp"
#include "support/roast_curve.hpp"

using namespace drumwatch;

namespace {
Sample good(double value, bool fresh = true) { return {*to_milli(value), Quality::good, fresh}; }
}  // namespace

TEST_CASE("rate of rise at the live edge: noise and lag as the header states") {
    // Least squares of a line: s * sqrt(12 / n^3) / dt = 0.15 * sqrt(12 / 41^3) / 0.25 * 60 = 0.475 C/min.
    TestRandom random(2026);
    Smoother smoother;
    double sum = 0, squares = 0;
    int count = 0;
    for (int i = 0; i < 40'000; ++i) {
        const Tick now{i * 250};
        const double truth = 150 + 8.0 / 60 * i * 0.25;
        smoother.add(now, std::round((truth + 0.15 * random.normal()) * 10) / 10);
        const auto line = smoother.at(now);
        if (i < 100) continue;
        const double error = line->per_second * 60 - 8.0;
        sum += error;
        squares += error * error;
        ++count;
    }
    const double bias = sum / count;
    const double deviation = std::sqrt(squares / count - bias * bias);
    INFO("standard deviation ", deviation, " C/min, bias ", bias);
    CHECK(deviation < 0.6);
    CHECK(deviation > 0.4);  // too good is a failure too
    CHECK(std::fabs(bias) < 0.02);

    // Lag: on a rate that changes steadily, the slope is that of half a window ago.
    Smoother bent;
    for (int i = 0; i <= 400; ++i) {
        const double t = i * 0.25;
        bent.add(Tick{i * 250}, 0.01 * t * t);
    }
    CHECK(bent.at(Tick{100'000})->per_second == doctest::Approx(0.02 * (100 - 5)).epsilon(0.001));
}

TEST_CASE("the smooth value has no lag on a straight curve, at every tick rate") {
    for (const std::int64_t period : {100, 250, 500, 1000}) {
        CAPTURE(period);
        Smoother smoother;
        for (std::int64_t ms = 0; ms <= 30'000; ms += period)
            smoother.add(Tick{ms}, 100 + 0.2 * static_cast<double>(ms) / 1000);
        CHECK(smoother.at(Tick{30'000})->value == doctest::Approx(106).epsilon(1e-6));
    }
}

TEST_CASE("a gap of more than three seconds starts a new line, an old line says nothing") {
    Smoother smoother;
    for (int i = 0; i < 20; ++i) smoother.add(Tick{i * 250}, 100);
    CHECK(smoother.at(Tick{5'000}));
    CHECK_FALSE(smoother.at(Tick{8'000}));
    smoother.add(Tick{9'000}, 180);
    CHECK_FALSE(smoother.at(Tick{9'000}));
}

TEST_CASE("validation: span, jump, confirmed leap, and what drivers say") {
    Channel channel = bean_channel();
    channel.span_low_milli = -20'000;
    channel.span_high_milli = 400'000;
    Validator validator(channel);
    CHECK(validator.judge(good(190), Tick{0}) == Quality::good);
    CHECK(validator.judge(good(190.2), Tick{250}) == Quality::good);
    CHECK(validator.judge(good(401), Tick{500}) == Quality::out_of_span);
    CHECK(validator.judge(good(190.4), Tick{750}) == Quality::good);
    CHECK(validator.judge(good(240), Tick{1000}) == Quality::suspect);
    CHECK(has_value(validator.judge(good(240, false), Tick{1250})));
    CHECK(validator.judge(good(190.6), Tick{1500}) == Quality::good);  // a single spike
    CHECK(validator.judge(good(240), Tick{1750}) == Quality::suspect);
    CHECK(validator.judge(good(241), Tick{2000}) == Quality::good);  // it stays: a leap
    CHECK(validator.judge({0, Quality::open_circuit, true}, Tick{2250}) == Quality::open_circuit);
    CHECK(validator.judge({0, Quality::stale, false}, Tick{2500}) == Quality::stale);
}

TEST_CASE("a charge's own fall is never taken for a jump") {
    CurveShape shape;
    shape.lag_s = 8;
    Validator validator(bean_channel());
    for (const RoastRow& row : roast_file(shape).rows) {
        CHECK(validator.judge({*row.values[0], Quality::good, true}, Tick{row.elapsed_ms}) == Quality::good);
    }
}

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "roast/signal/signal.hpp"
#include "support/random.hpp"
#include "support/roast_curve.hpp"

using namespace drumwatch;

namespace {
Sample good(double value, bool fresh = true) { return {*to_milli(value), Quality::good, fresh}; }

struct Signal {
    std::int64_t period_ms = 250;
    double noise_c = 0;
    double quantum_c = 0.001;
    double jitter = 0;  ///< in periods: so much before or after its tick a reading may have been made
};

/// The `i`th reading of a signal whose truth at t seconds is given.
template <typename Truth>
Milli reading(const Signal& signal, TestRandom& random, int i, Truth truth) {
    const double shift = signal.jitter * random.uniform(-1, 1);
    const double noisy =
        truth((i + shift) * static_cast<double>(signal.period_ms) / 1000) + signal.noise_c * random.normal();
    return *to_milli(std::round(noisy / signal.quantum_c) * signal.quantum_c);
}

struct Spread {
    double mean = 0;
    double deviation = 0;
};

/// Of the rate of rise, C/min, on a straight rise of 8 C/min; seed 2026.
Spread rise_of(const Signal& signal) {
    TestRandom random(2026);
    Smoother smoother;
    double sum = 0, squares = 0;
    int count = 0;
    for (int i = 0; i < 40'000; ++i) {
        const Tick now{i * signal.period_ms};
        smoother.add(now, reading(signal, random, i, [](double t_s) { return 150 + 8.0 / 60 * t_s; }));
        if (i < 200) continue;
        const double rise = smoother.at(now)->per_second * 60;
        sum += rise;
        squares += rise * rise;
        ++count;
    }
    const double mean = sum / count;
    return {mean, std::sqrt(squares / count - mean * mean)};
}

/// Mean lag of the rate of rise in seconds, on fifty parabolas of 200 s each; seeds 1 to 50.
double lag_of(const Signal& signal) {
    double sum = 0;
    int count = 0;
    for (std::uint64_t seed = 1; seed <= 50; ++seed) {
        TestRandom random(seed);
        Smoother smoother;
        for (int i = 0; i * signal.period_ms < 200'000; ++i) {
            const Tick now{i * signal.period_ms};
            smoother.add(now, reading(signal, random, i, [](double t_s) { return 100 + 0.002 * t_s * t_s; }));
            if (now.ms < 20'000) continue;
            sum += static_cast<double>(now.ms) / 1000 - smoother.at(now)->per_second / 0.004;
            ++count;
        }
    }
    return sum / count;
}
}  // namespace

TEST_CASE("rate of rise at the live edge: noise and lag as the header states") {
    // What was asked for: at most 0.6 C/min and 6 s. By theory (least squares of a line, n = 41, and the
    // steps as noise of 0.1 / sqrt(12)): 0.153 * sqrt(12 / (n (n^2 - 1))) / 0.25 * 60 = 0.484 C/min.
    const Signal signal{250, 0.15, 0.1, 0};
    const Spread rise = rise_of(signal);
    const double lag_s = lag_of(signal);
    INFO("standard deviation ", rise.deviation, " C/min, mean ", rise.mean, ", lag ", lag_s, " s");
    CHECK(rise.deviation < 0.52);
    CHECK(rise.deviation > 0.45);  // too good is a failure too
    CHECK(std::fabs(rise.mean - 8) < 0.02);
    CHECK(lag_s > 4.8);
    CHECK(lag_s < 5.2);
}

TEST_CASE("at every tick rate, with jitter and either step, the rate of rise is the same within its noise") {
    for (const std::int64_t period : {100, 250, 500, 1000}) {
        for (const double quantum : {0.1, 5.0 / 9}) {
            const Signal signal{period, 0.15, quantum, 0.1};
            const Spread rise = rise_of(signal);
            const double lag_s = lag_of(signal);
            const double s = std::hypot(0.15, quantum / std::sqrt(12.0));
            const double n = 10'000.0 / static_cast<double>(period) + 1;
            const double theory =
                s * std::sqrt(12 / (n * (n * n - 1))) / static_cast<double>(period) * 60'000;
            INFO("every ", period, " ms in steps of ", quantum, " C: ", rise.deviation, " C/min, by theory ",
                 theory, ", mean ", rise.mean, ", lag ", lag_s, " s");
            CHECK(rise.deviation < theory * (quantum > 0.2 ? 1.3 : 1.08));  // coarse steps are no white noise
            CHECK(rise.deviation > theory * (quantum > 0.2 ? 0.85 : 0.92));
            CHECK(std::fabs(rise.mean - 8) < 0.05);
            CHECK(lag_s > 4.7);
            CHECK(lag_s < 5.3);
        }
    }
}

TEST_CASE("the smooth value has no lag on a straight curve, at every tick rate") {
    for (const std::int64_t period : {100, 250, 500, 1000}) {
        CAPTURE(period);
        Smoother smoother;
        for (std::int64_t ms = 0; ms <= 30'000; ms += period)
            smoother.add(Tick{ms}, static_cast<Milli>(100'000 + ms / 5));
        CHECK(smoother.at(Tick{30'000})->value == doctest::Approx(106).epsilon(1e-6));
    }
}

TEST_CASE("a probe slower than the tick counts once a reading, and its line goes on to the tick") {
    Smoother smoother;
    for (std::int64_t ms = 0; ms <= 60'000; ms += 250) {
        if (ms % 2'000 == 0) smoother.add(Tick{ms}, static_cast<Milli>(100'000 + ms / 5));
        if (ms < 10'000) continue;
        CAPTURE(ms);
        REQUIRE(smoother.at(Tick{ms}));
        CHECK(smoother.at(Tick{ms})->value == doctest::Approx(100 + static_cast<double>(ms) / 5'000));
        CHECK(smoother.at(Tick{ms})->per_second == doctest::Approx(0.2));
    }
}

TEST_CASE("one roast read at any rate, or by a slow probe on a fast tick, is the same curve") {
    // Against 10 readings a second, from a minute after the charge to the drop; the newest reading of a slow
    // probe is up to a period old at the tick, so that its rate of rise lags by so much more.
    CurveShape shape;
    shape.step_s = 0.1;
    const auto curve = true_curve(shape);
    Smoother fast;
    Smoother slower[3];  // every 0.5, 1 and 2 s
    const std::size_t every[] = {5, 10, 20};
    double worst_c = 0, worst_rise = 0;
    for (std::size_t i = 0; i < curve.size() && curve[i].t_s < shape.drop_s; ++i) {
        const Tick now{static_cast<std::int64_t>(i) * 100};
        fast.add(now, *to_milli(curve[i].bean_c));
        for (std::size_t k = 0; k < 3; ++k) {
            if (i % every[k] == 0) slower[k].add(now, *to_milli(curve[i].bean_c));
            if (curve[i].t_s < 90) continue;
            REQUIRE(slower[k].at(now));
            worst_c = std::max(worst_c, std::fabs(slower[k].at(now)->value - fast.at(now)->value));
            worst_rise = std::max(worst_rise,
                                  60 * std::fabs(slower[k].at(now)->per_second - fast.at(now)->per_second));
        }
    }
    INFO("worst ", worst_c, " C, ", worst_rise, " C/min");
    // Soon after the turning point the rate changes by half a degree a minute each second: 1.9 s late, that
    // is 0.95 C/min.
    CHECK(worst_c < 0.1);
    CHECK(worst_rise < 1.1);
    CHECK(worst_rise > 0.8);
}

TEST_CASE("the line is that of the readings in its window, whatever went before") {
    TestRandom random(11);
    Smoother old;
    Smoother young;
    for (int i = 0; i < 4'000'000; i += 250) {
        const auto value = static_cast<Milli>(150'000 + 100 * random.normal());
        old.add(Tick{i}, value);
        if (i >= 3'980'000) young.add(Tick{i}, value);
    }
    const auto of_old = old.at(Tick{4'000'000});
    const auto of_young = young.at(Tick{4'000'000});
    CHECK(of_old->value == of_young->value);
    CHECK(of_old->per_second == of_young->per_second);
}

TEST_CASE(
    "a gap of up to three seconds is bridged, a longer one starts a new line, an old line says nothing") {
    Smoother smoother;
    std::int64_t ms = 0;
    for (; ms <= 20'000; ms += 250) smoother.add(Tick{ms}, static_cast<Milli>(100'000 + ms / 5));
    const std::int64_t last = ms - 250;
    CHECK(smoother.at(Tick{last + 4'500}));
    CHECK_FALSE(smoother.at(Tick{last + 4'750}));
    ms = last + 3'250;  // 3 s of open circuit
    smoother.add(Tick{ms}, static_cast<Milli>(100'000 + ms / 5));
    CHECK(smoother.at(Tick{ms})->per_second == doctest::Approx(0.2));
    CHECK(smoother.at(Tick{ms})->value == doctest::Approx(100 + static_cast<double>(ms) / 5'000));
    Smoother later = smoother;  // the same curve after a longer gap: no line through what is old
    for (const std::int64_t again : {ms + 4'750, ms + 5'000, ms + 5'250}) {
        later.add(Tick{again}, static_cast<Milli>(100'000 + again / 5));
        CHECK_FALSE(later.at(Tick{again}));
    }
    ms += 4'750;
    for (const std::int64_t until = ms + 2'750; ms <= until; ms += 250) {
        smoother.add(Tick{ms}, 180'000);
        CHECK_FALSE(smoother.at(Tick{ms}));
    }
    smoother.add(Tick{ms}, 180'000);
    REQUIRE(smoother.at(Tick{ms}));
    CHECK(smoother.at(Tick{ms})->value == doctest::Approx(180));
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

namespace {
/// Readings four times a second of a probe that shows steps of `step_c`; gives the seconds after `frozen_s`
/// until it counts as frozen, or -1.
template <typename Truth>
double frozen_after_s(Truth truth, double step_c, double noise_c, double frozen_s, double exhaust_per_min) {
    StandStill still;
    Smoother smoother;
    TestRandom random(11);
    Milli shown = 0;
    for (int i = 0; i < 1200; ++i) {
        const double t_s = 0.25 * i;
        const Tick now{250 * i};
        const double read_c = std::round((truth(t_s) + noise_c * random.normal()) / step_c) * step_c;
        if (t_s < frozen_s) shown = *to_milli(read_c);
        const auto line = smoother.at(now);
        still.add(now, shown, line ? line->per_second * 60 : 0,
                  200 + exhaust_per_min * t_s / 60 + 0.1 * random.normal());
        smoother.add(now, shown);
        if (still.frozen()) return t_s - frozen_s;
    }
    return -1;
}

/// One that rises by 0.1 C/s in steps of 0.5 C until 40 s, then stands; the exhaust moves by so much a
/// second.
struct Standing {
    explicit Standing(double exhaust_moves_per_s) : exhaust_per_s(exhaust_moves_per_s) {}
    const StandStill& at(double until_s) {
        for (; t_s <= until_s; t_s += 0.25)
            still.add(Tick{static_cast<std::int64_t>(t_s * 1000)},
                      150'000 + 500 * static_cast<Milli>(std::min(t_s, 40.0) / 5), 6,
                      200 + exhaust_per_s * t_s);
        return still;
    }
    StandStill still;
    double exhaust_per_s;
    double t_s = 0;
};
}  // namespace

TEST_CASE("a reading is doubted that stands for one and a half of its steps, until it is frozen or moves") {
    Standing steady(0);
    CHECK_FALSE(steady.at(39.75).doubtful());
    CHECK_FALSE(steady.at(47.25).doubtful());
    CHECK(steady.at(47.5).doubtful());  // 7.5 s after its last change it would be 0.75 C higher
    CHECK(steady.still.unexplained());
    CHECK(steady.at(74.75).doubtful());
    CHECK_FALSE(steady.still.frozen());
    CHECK(steady.at(75).frozen());  // seven steps
    CHECK_FALSE(steady.still.doubtful());
    for (int s = 76; s < 100; ++s) {  // it thaws: what the smoothing makes of that is no rise
        CAPTURE(s);
        steady.still.add(Tick{s * 1000}, 160'000 + 500 * (s % 2), 6, 200);
        CHECK_FALSE(steady.still.frozen());
        CHECK(steady.still.doubtful() == (s < 86));
    }

    Standing cooling(-0.2);  // as after a flame that went out
    CHECK(cooling.at(54.75).unexplained());
    CHECK(cooling.at(55.25).doubtful());
    CHECK_FALSE(cooling.still.unexplained());
}

TEST_CASE("doubt of a reading that stands still ends after a minute and a half") {
    StandStill still;
    for (int i = 0; i < 8; ++i) still.add(Tick{i * 1000}, 150'000 + 500 * (i % 2), 1, std::nullopt);
    for (int s = 8; s <= 150; ++s) {
        CAPTURE(s);
        still.add(Tick{s * 1000}, 150'500, 1, std::nullopt);
        CHECK(still.doubtful() == (s >= 7 + 45 && s < 7 + 90));  // one and a half steps at 1 C/min
        CHECK_FALSE(still.frozen());
    }
}

TEST_CASE("a reading that stands still in a roast is frozen, sooner where the curve was steeper") {
    const auto straight = [](double per_min) {
        return [per_min](double t_s) { return 150 + per_min * t_s / 60; };
    };
    for (const double per_min : {5.0, 8.0, 20.0}) {
        CAPTURE(per_min);
        const double fine_s = frozen_after_s(straight(per_min), 0.1, 0.1, 100, 5);
        CHECK(fine_s >= 9);
        CHECK(fine_s < std::fmax(12, 1.3 * 1.2 / per_min * 60));
        const double coarse_s = frozen_after_s(straight(per_min), 5.0 / 9, 0.1, 100, 5);
        CHECK(coarse_s >= 9);
        CHECK(coarse_s < std::fmax(14, 1.5 * 3 * 0.556 / per_min * 60));
    }
}

TEST_CASE("a reading that stands still where the curve was flat is frozen once the exhaust is elsewhere") {
    const auto flat = [](double) { return 150.0; };
    CHECK(frozen_after_s(flat, 5.0 / 9, 0, 0, 0) == -1);
    const double moved_s = frozen_after_s(flat, 5.0 / 9, 0, 0, 3);
    CHECK(moved_s >= 90);
    CHECK(moved_s < 100);
}

TEST_CASE("what lives is not frozen: a slow curve, the turning point, the peak of a stalled roast") {
    const double never_s = 1e9;
    for (const double step_c : {0.1, 5.0 / 9}) {
        for (const double noise_c : {0.02, 0.1}) {
            CAPTURE(step_c);
            CAPTURE(noise_c);
            for (const double per_min : {0.0, 1.0, 3.0, 8.0})
                CHECK(frozen_after_s([&](double t_s) { return 150 + per_min * t_s / 60; }, step_c, noise_c,
                                     never_s, per_min) == -1);
            // Parabolas: 0.4 C/min more each second at the turning point, 10 C/min less within 30 s of a
            // stall, the exhaust falling.
            CHECK(frozen_after_s([](double t_s) { return 80 + 0.0033 * std::pow(t_s - 60, 2); }, step_c,
                                 noise_c, never_s, 20) == -1);
            CHECK(frozen_after_s([](double t_s) { return 180 - 0.0028 * std::pow(t_s - 100, 2); }, step_c,
                                 noise_c, never_s, -10) == -1);
        }
    }
}

TEST_CASE("a charge's own fall is never taken for a jump") {
    CurveShape shape;
    shape.lag_s = 8;
    Validator validator(bean_channel());
    for (const RoastRow& row : roast_file(shape).rows) {
        CHECK(validator.judge({*row.values[0], Quality::good, true}, Tick{row.elapsed_ms}) == Quality::good);
    }
}

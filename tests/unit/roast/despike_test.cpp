// Despiking before the smoother: what is dropped, what is believed and how soon.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "roast/signal/signal.hpp"
#include "support/random.hpp"
#include "support/roast_curve.hpp"

using namespace drumwatch;

namespace {

/// What a probe says, in ticks of a period; nothing where a reading is lost.
struct Curve {
    std::vector<std::optional<double>> bean_c;
    std::int64_t period_ms = 250;
    Tick tick(std::size_t i) const { return {static_cast<std::int64_t>(i) * period_ms}; }
    std::size_t at_s(double t_s) const {
        return static_cast<std::size_t>(std::lround(t_s * 1000 / static_cast<double>(period_ms)));
    }
};

/// A minute of hot drum, then the charge (11 C/s at first with a lag of 15 s) and the roast.
Curve roast_at(std::int64_t period_ms) {
    CurveShape shape;
    shape.step_s = static_cast<double>(period_ms) / 1000;
    shape.lag_s = 15;
    Curve curve;
    curve.period_ms = period_ms;
    for (const CurvePoint& point : true_curve(shape)) curve.bean_c.push_back(point.bean_c);
    return curve;
}

using Lines = std::vector<std::optional<Smoother::Line>>;
Lines smooth(const Curve& curve) {
    Smoother smoother;
    Lines lines;
    for (std::size_t i = 0; i < curve.bean_c.size(); ++i) {
        if (curve.bean_c[i]) smoother.add(curve.tick(i), *to_milli(*curve.bean_c[i]));
        lines.push_back(smoother.at(curve.tick(i)));
    }
    return lines;
}

/// Largest difference of the rate of rise among the `from`th to `to`th tick, C/min.
double worst(const Lines& a, const Lines& b, std::size_t from, std::size_t to) {
    double most = 0;
    for (std::size_t i = from; i < to; ++i) {
        REQUIRE(a[i]);
        REQUIRE(b[i]);
        most = std::max(most, 60 * std::fabs(a[i]->per_second - b[i]->per_second));
    }
    return most;
}

constexpr std::int64_t kPeriods[] = {100, 250, 500, 1000};

}  // namespace

TEST_CASE("single and double spikes in either direction do what lost readings do, at every tick") {
    for (const std::int64_t period : kPeriods) {
        const Curve whole = roast_at(period);
        const Lines clean = smooth(whole);
        for (const double spike_c : {25.0, -18.0, 5.0, -3.0}) {
            for (const std::size_t wide : {std::size_t{1}, std::size_t{2}}) {
                Curve spiked = whole;
                Curve lost = whole;
                for (std::size_t i = whole.at_s(200); i < whole.at_s(600); i += whole.at_s(15)) {
                    for (std::size_t k = i; k < i + wide; ++k) {
                        *spiked.bean_c[k] += spike_c;
                        lost.bean_c[k].reset();
                    }
                }
                const Lines lines = smooth(spiked);
                CAPTURE(wide);
                CAPTURE(spike_c);
                CAPTURE(period);
                CHECK(worst(lines, smooth(lost), whole.at_s(150), whole.at_s(600)) == 0);
                CHECK(worst(lines, clean, whole.at_s(150), whole.at_s(600)) < 0.25);
            }
        }
    }
}

TEST_CASE("a spike in the charge's own fall is dropped, and the fall is not") {
    for (const std::int64_t period : kPeriods) {
        const Curve whole = roast_at(period);
        const Lines clean = smooth(whole);
        for (const double spike_c : {25.0, -18.0}) {
            for (const double after_s : {3.0, 5.0, 7.0}) {
                Curve spiked = whole;
                Curve lost = whole;
                const std::size_t at = whole.at_s(60 + after_s);
                *spiked.bean_c[at] += spike_c;
                lost.bean_c[at].reset();
                CAPTURE(spike_c);
                CAPTURE(after_s);
                CAPTURE(period);
                const Lines lines = smooth(spiked);
                CHECK(worst(lines, smooth(lost), at, whole.at_s(100)) == 0);
                CHECK(lines[at + 1]->per_second < clean[at - 1]->per_second + 0.01);  // it falls on
            }
        }
    }
}

TEST_CASE("charge and drop are held back by one reading at most") {
    for (const std::int64_t period : kPeriods) {
        for (const double shift_s : {0.0, 0.3, 0.6, 0.9}) {
            // 195 C, then a probe of 12 s lag in green coffee: 14 C/s at first, 10 C/s as it is read.
            Smoother smoother;
            std::int64_t first_late_ms = 0;
            double last = 195;
            for (std::int64_t ms = 0; ms <= 40'000; ms += period) {
                const double since_s = std::max(0.0, static_cast<double>(ms) / 1000 - 30 - shift_s);
                last = 60 + 135 * std::exp(-since_s / 13.5);
                smoother.add(Tick{ms}, *to_milli(last));
                if (since_s <= 0 || first_late_ms > 0) continue;
                // Unfiltered, the slope answers with the first reading of the fall, by a share of it.
                if (smoother.at(Tick{ms})->per_second < -0.05) first_late_ms = ms;
            }
            const auto begins_ms = static_cast<std::int64_t>((30 + shift_s) * 1000);
            CAPTURE(period);
            CAPTURE(shift_s);
            CHECK(first_late_ms > begins_ms);
            CHECK(first_late_ms <= begins_ms + 2 * period + 200);
        }
    }
}

TEST_CASE("a leap that stays is believed after half a second and three readings, and the line begins anew") {
    for (const std::int64_t period : kPeriods) {
        CAPTURE(period);
        Smoother smoother;
        std::int64_t ms = 0;
        for (; ms <= 20'000; ms += period) smoother.add(Tick{ms}, 150'000);
        std::int64_t believed_ms = 0;
        std::int64_t line_ms = 0;
        for (const std::int64_t from = ms; ms <= from + 10'000; ms += period) {
            smoother.add(Tick{ms}, 180'000);
            const auto line = smoother.at(Tick{ms});
            if (!line && believed_ms == 0) believed_ms = ms - from;
            if (line && believed_ms > 0 && line_ms == 0) line_ms = ms - from;
            if (line) CHECK(std::min(std::fabs(line->value - 150), std::fabs(line->value - 180)) < 1e-9);
        }
        CHECK(believed_ms == std::max<std::int64_t>(Smoother::kConfirmMs, 2 * period));
        CHECK(line_ms == Smoother::kLeastMs);
    }
}

TEST_CASE("noise is no spike: hardly a reading is held") {
    for (const std::int64_t period : kPeriods) {
        // 0.2 C in steps of 1 F; a reading that was held is not in the line, which shows in its end's age.
        TestRandom random(5);
        Smoother smoother;
        int held = 0;
        for (int i = 0; i < 40'000; ++i) {
            const Tick now{i * period};
            const double noisy =
                150 + 12 * std::asin(std::sin(static_cast<double>(now.ms) / 60'000)) + 0.2 * random.normal();
            const auto expected = smoother.at(now);
            smoother.add(now, *to_milli(std::round(noisy / 5 * 9) * 5 / 9));
            const auto line = smoother.at(now);
            if (expected && line && expected->value == line->value &&
                expected->per_second == line->per_second)
                ++held;
        }
        INFO("every ", period, " ms: ", held, " of 40000");
        CHECK(held <= 4);
    }
}

TEST_CASE("odd readings on either side by turns, and a spike that grows, are never believed") {
    Smoother turns;
    Smoother grows;
    for (std::int64_t ms = 0; ms <= 10'000; ms += 250) {
        turns.add(Tick{ms}, 150'000);
        grows.add(Tick{ms}, 150'000);
    }
    for (std::int64_t i = 0; i < 8; ++i) turns.add(Tick{10'250 + i * 250}, i % 2 == 0 ? 152'400 : 147'600);
    grows.add(Tick{10'250}, 160'000);  // 60 C/s from here: no probe falls or rises like that
    grows.add(Tick{10'500}, 175'000);
    for (const Smoother* smoother : {&turns, &grows}) {
        REQUIRE(smoother->at(Tick{12'000}));
        CHECK(smoother->at(Tick{12'000})->value == doctest::Approx(150));
    }
}

TEST_CASE("two that agree begin a line: a spike as the very first reading is dropped") {
    Smoother smoother;
    smoother.add(Tick{0}, 230'000);
    for (std::int64_t ms = 250; ms <= 3'500; ms += 250) smoother.add(Tick{ms}, 200'000);
    REQUIRE(smoother.at(Tick{3'500}));
    CHECK(smoother.at(Tick{3'500})->value == doctest::Approx(200));
}

TEST_CASE("a known lag of the probe is made up for, and never with more noise than a bare reading has") {
    // A probe of first order on a straight rise is late by its time constant.
    Smoother plain;
    Smoother made_up(6'000);
    TestRandom random(3);
    double plain_squares = 0, squares = 0;
    int count = 0;
    for (int i = 0; i < 40'000; ++i) {
        const Tick now{i * 250};
        const double true_c = 150 + 0.15 * (i % 400) * 0.25;
        if (i % 400 == 0) plain.clear(), made_up.clear();
        const Milli read = *to_milli(true_c - 0.15 * 6 + 0.15 * random.normal());
        plain.add(now, read);
        made_up.add(now, read);
        if (i % 400 < 60) continue;
        plain_squares += std::pow(plain.at(now)->value - (true_c - 0.9), 2);
        squares += std::pow(made_up.at(now)->value - true_c, 2);
        CHECK(plain.at(now)->per_second == made_up.at(now)->per_second);
        ++count;
    }
    // Noise of a line's end, and of the line taken 6 s further: sqrt(1/41 + (5 + 6)^2 / Sxx), Sxx = 358.75
    // s^2.
    CHECK(std::sqrt(plain_squares / count) == doctest::Approx(0.15 * 0.307).epsilon(0.1));
    CHECK(std::sqrt(squares / count) == doctest::Approx(0.15 * 0.601).epsilon(0.1));

    // At one reading a second the line may go 4.2 s beyond its end and not 20 s: its noise is 1 there.
    Smoother slow(20'000);
    for (int i = 0; i <= 20; ++i) slow.add(Tick{i * 1000}, 100'000 + i * 100);
    const double lead_s = (slow.at(Tick{20'000})->value - 102) / 0.1;
    CHECK(lead_s == doctest::Approx(std::sqrt(10.0 / 11 * 110) - 5).epsilon(0.001));
}

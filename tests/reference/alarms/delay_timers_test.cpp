// The alarm book's delays against the closed form and the Markov chain of delay timers (markov_chain.hpp), in
// stepped time: means within four standard errors of what the chain says, a bound that one run in 16 000
// would break by chance; the seeds are fixed. Readings once a second.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "reference/alarms/markov_chain.hpp"
#include "support/random.hpp"
#include "unit/alarms/alarm_bench.hpp"

using namespace drumwatch;

namespace {

#ifdef DRUMWATCH_SANITIZED
constexpr double kReadings = 6e4;  // of each case, about
#else
constexpr double kReadings = 3e5;
#endif
constexpr double kErrors = 4;
constexpr std::int64_t kReading_ms = 1'000;

/// n readings in a row set it, m in a row clear it; nothing latches.
AlarmSettings timers(int n, int m) {
    AlarmSettings settings;
    RuleSettings& rule = settings[AlarmRule::bean_high_high];
    rule.on_delay_ms = (n - 1) * kReading_ms;
    rule.off_delay_ms = (m - 1) * kReading_ms;
    rule.deadband = 0;
    rule.latches = false;
    return settings;
}

/// A bean reading that is beyond the limit, or not.
void read(AlarmBench& bench, bool beyond) {
    bench.bean(beyond ? 241 : 239);
    bench.book.round(bench.now, bench.inputs);
    bench.now = bench.now + kReading_ms;
}

bool holds(const AlarmBench& bench, AlarmRule rule) { return bench.book[rule].holds; }

/// Mean readings to the alarm, over so many runs that they take kReadings.
template <typename Begin, typename Read>
double measured(const Moments& expected, int& runs, Begin begin, Read read_one) {
    runs = std::max(40, static_cast<int>(kReadings / expected.mean));
    double readings = 0;
    for (int run = 0; run < runs; ++run) {
        AlarmBench bench;
        begin(bench);
        do {
            ++readings;
        } while (!read_one(bench));
    }
    return readings / runs;
}

bool agrees(double mean, const Moments& expected, int runs) {
    return std::fabs(mean - expected.mean) <= kErrors * std::sqrt(expected.variance / runs) + 1e-9;
}

// Chances of a reading beyond the limit where the value lies one or half a standard deviation below it, on
// it, and one or two above it (normal noise).
constexpr double kChances[] = {0.1587, 0.3085, 0.5, 0.8413, 0.9772};

}  // namespace

TEST_CASE("the Markov chain of n in a row has the mean and the variance of the closed form") {
    // W. Feller, An Introduction to Probability Theory, vol. 1, XIII.7 (from memory): mean (1 - p^n) / (q
    // p^n), variance 1 / (q p^n)^2 - (2 n + 1) / (q p^n) - p / q^2.
    for (const double p : kChances) {
        for (const std::size_t n : {1u, 2u, 3u, 5u, 8u}) {
            CAPTURE(p);
            CAPTURE(n);
            const double q = 1 - p;
            const double qpn = q * std::pow(p, static_cast<double>(n));
            const Moments chain = in_a_row(n, p);
            CHECK(chain.mean ==
                  doctest::Approx((1 - std::pow(p, static_cast<double>(n))) / qpn).epsilon(1e-7));
            const double variance = 1 / (qpn * qpn) - (2 * static_cast<double>(n) + 1) / qpn - p / (q * q);
            CHECK(chain.variance == doctest::Approx(variance).epsilon(1e-6));
            // One of one and n of n are the same timer.
            CHECK(of_the_last(n, n, p).mean == doctest::Approx(chain.mean).epsilon(1e-7));
        }
    }
}

TEST_CASE("an on-delay raises false alarms as seldom, and finds true ones as soon, as the chain says") {
    TestRandom random(101);
    for (const double p : kChances) {
        for (const int n : {1, 2, 3, 4, 6}) {
            const Moments expected = in_a_row(static_cast<std::size_t>(n), p);
            if (expected.mean > kReadings / 100) continue;  // too seldom to be counted
            int runs = 0;
            const double mean = measured(
                expected, runs, [&](AlarmBench& bench) { bench.book = AlarmBook(timers(n, 1)); },
                [&](AlarmBench& bench) {
                    read(bench, random.uniform() < p);
                    return holds(bench, AlarmRule::bean_high_high);
                });
            CAPTURE(p);
            CAPTURE(n);
            CAPTURE(expected.mean);
            CAPTURE(runs);
            CHECK_MESSAGE(agrees(mean, expected, runs), mean);
        }
    }
}

TEST_CASE("normal noise on the limit: three in a row come after 14 readings") {
    TestRandom random(7);
    const Moments expected = in_a_row(3, 0.5);
    CHECK(expected.mean == doctest::Approx(14));
    int runs = 0;
    const double mean = measured(
        expected, runs, [](AlarmBench& bench) { bench.book = AlarmBook(timers(3, 1)); },
        [&](AlarmBench& bench) {
            bench.bean(240 + 0.3 * random.normal());
            bench.book.round(bench.now, bench.inputs);
            bench.now = bench.now + kReading_ms;
            return holds(bench, AlarmRule::bean_high_high);
        });
    CHECK_MESSAGE(agrees(mean, expected, runs), mean);
}

TEST_CASE("an off-delay clears as the chain says") {
    TestRandom random(103);
    for (const double p : {0.0668, 0.3085, 0.5}) {
        for (const int m : {1, 3, 6}) {
            const Moments expected = in_a_row(static_cast<std::size_t>(m), 1 - p);
            int runs = 0;
            const double mean = measured(
                expected, runs,
                [&](AlarmBench& bench) {
                    bench.book = AlarmBook(timers(1, m));
                    read(bench, true);
                },
                [&](AlarmBench& bench) {
                    read(bench, random.uniform() < p);
                    return !holds(bench, AlarmRule::bean_high_high);
                });
            CAPTURE(p);
            CAPTURE(m);
            CAPTURE(expected.mean);
            CHECK_MESSAGE(agrees(mean, expected, runs), mean);
        }
    }
}

TEST_CASE("three bad ones of five readings come as seldom as the chain says") {
    TestRandom random(107);
    for (const double p : {0.05, 0.1, 0.3, 0.9}) {
        const Moments expected = of_the_last(3, 5, p);
        int runs = 0;
        const double mean = measured(
            expected, runs,
            [](AlarmBench& bench) {
                AlarmSettings settings;
                settings[AlarmRule::bean_probe_fault].on_delay_ms = 1'000'000'000;  // only the count acts
                bench.book = AlarmBook(settings);
                bench.inputs.bean.fresh = true;
            },
            [&](AlarmBench& bench) {
                bench.inputs.bean.quality = random.uniform() < p ? Quality::bad_reply : Quality::good;
                bench.book.round(bench.now, bench.inputs);
                bench.now = bench.now + kReading_ms;
                return holds(bench, AlarmRule::bean_probe_fault);
            });
        CAPTURE(p);
        CAPTURE(expected.mean);
        CAPTURE(runs);
        CHECK_MESSAGE(agrees(mean, expected, runs), mean);
    }
}

TEST_CASE("the share of the time that an alarm is on is that of on- and off-delay together") {
    // Renewal theory (any text): on and off take turns, each as long as a run in a row of the other kind.
    // With n = m = 1 the share is p. Its error over a time T: the asymptotic variance of an alternating
    // renewal process, (off^2 var(on) + on^2 var(off)) / (on + off)^3 / T.
    TestRandom random(109);
    for (const double p : {0.1587, 0.3085, 0.5}) {
        for (const auto& [n, m] : {std::pair{1, 1}, {2, 2}, {3, 5}}) {
            const Moments off = in_a_row(static_cast<std::size_t>(n), p);
            const Moments on = in_a_row(static_cast<std::size_t>(m), 1 - p);
            const double expected = on.mean / (on.mean + off.mean);
            if (n == 1 && m == 1) CHECK(expected == doctest::Approx(p));
            AlarmBench bench;
            bench.book = AlarmBook(timers(n, m));
            double held = 0;
            for (int i = 0; i < static_cast<int>(kReadings); ++i) {
                read(bench, random.uniform() < p);
                held += holds(bench, AlarmRule::bean_high_high);
            }
            const double cycle = on.mean + off.mean;
            const double variance =
                (off.mean * off.mean * on.variance + on.mean * on.mean * off.variance) / std::pow(cycle, 3);
            CAPTURE(p);
            CAPTURE(n);
            CAPTURE(m);
            CAPTURE(expected);
            const double share = held / kReadings;
            CHECK_MESSAGE(std::fabs(share - expected) <= kErrors * std::sqrt(variance / kReadings), share);
        }
    }
}

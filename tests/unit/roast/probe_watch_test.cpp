// Faults and doubts of a probe beside the machine's others, in stepped time.
#include <doctest/doctest.h>

#include <cmath>

#include "roast/signal/probe_doubt.hpp"
#include "roast/signal/probe_watch.hpp"
#include "roast/signal/signal.hpp"
#include "support/random.hpp"

using namespace drumwatch;

namespace {

constexpr std::int64_t kTick_ms = 250;

struct Feed {
    ProbeWatch watch;
    Tick now{0};
    Quality last = Quality::good;

    Quality add(double value_c, const Surroundings& around, Quality judged = Quality::good) {
        last = watch.judge(judged, value_c, now, around);
        now = now + kTick_ms;
        return last;
    }
    /// For so long; the first tick at which that quality came, in ms from here.
    std::optional<std::int64_t> until(Quality wanted, double value_c, const Surroundings& around,
                                      double seconds) {
        const Tick from = now;
        while (now - from < static_cast<std::int64_t>(seconds * 1000))
            if (add(value_c, around) == wanted) return now - from - kTick_ms;
        return std::nullopt;
    }
};

Surroundings beside(double hottest) { return {25, hottest, std::nullopt}; }

}  // namespace

TEST_CASE("a shorted probe drops to the room's temperature at once: suspect, then shorted, good no more") {
    Feed feed;
    for (int i = 0; i < 40; ++i) CHECK(feed.add(180, beside(220)) == Quality::good);
    CHECK(feed.add(27, beside(220)) == Quality::suspect);
    const auto named = feed.until(Quality::short_circuit, 27, beside(220), 5);
    REQUIRE(named);
    CHECK(*named <= 1'500);
    for (int i = 0; i < 400; ++i) CHECK(feed.add(26 + i % 3, beside(220)) == Quality::short_circuit);
    SUBCASE("mended") { CHECK(feed.add(181, beside(220)) == Quality::good); }
    SUBCASE("with the machine cold nobody can tell any more") {
        CHECK(feed.add(26, beside(50)) == Quality::good);
    }
}

TEST_CASE("no short circuit: a charge of cold beans, a fast cooling, a single spike, a cold start") {
    Feed feed;
    SUBCASE("a charge falls by 10 degrees a second at most") {
        for (int i = 0; i < 40; ++i) feed.add(200, beside(230));
        for (double c = 200; c > 35; c -= 2.5) CHECK(feed.add(c, beside(230)) == Quality::good);
    }
    SUBCASE("a spike to the room's temperature is back before it is named") {
        for (int i = 0; i < 40; ++i) feed.add(200, beside(230));
        CHECK(feed.add(25, beside(230)) == Quality::suspect);
        CHECK(feed.add(200, beside(230)) == Quality::good);
    }
    SUBCASE("never hot, beside a hot one") {
        for (int i = 0; i < 400; ++i) CHECK(feed.add(25, beside(230)) == Quality::good);
    }
    SUBCASE("what is open or outside its span stays so") {
        for (int i = 0; i < 40; ++i) feed.add(200, beside(230));
        CHECK(feed.add(25, beside(230), Quality::out_of_span) == Quality::out_of_span);
    }
}

TEST_CASE("reversed wires: it falls as the machine is heated") {
    Feed feed;
    double other = 22;
    std::optional<double> named_at;
    for (int i = 0; i < 1'200; ++i) {
        const double true_c = 22 + (other - 22) * 0.8;
        // Twice the terminals' temperature less the true one: what a plug the wrong way round gives.
        if (feed.add(2 * 24 - true_c, beside(other)) == Quality::reversed && !named_at) named_at = true_c;
        other += 0.15;
    }
    REQUIRE(named_at);
    CHECK(*named_at < 50);  // before it is warm
    CHECK(feed.last == Quality::reversed);
    // Outside the span as well: the name that says what to do wins.
    CHECK(feed.add(-120, beside(230), Quality::out_of_span) == Quality::reversed);
    CHECK(feed.add(150, beside(230)) == Quality::good);
}

TEST_CASE("a daemon started beside a hot machine names reversed wires too") {
    Feed feed;
    CHECK(feed.until(Quality::reversed, -140, beside(230), 2).has_value());
}

TEST_CASE("a cold drum beside a hot exhaust, and a machine that cools, are not reversed") {
    Feed feed;
    double own = 24;
    for (int i = 0; i < 1'200; ++i, own -= 0.002)
        CHECK(feed.add(own, beside(22 + i * 0.15)) == Quality::good);
    for (int i = 0; i < 1'200; ++i) CHECK(feed.add(200 - i * 0.15, beside(230 - i * 0.16)) == Quality::good);
}

TEST_CASE("a probe that rests while the one beside it moves is frozen, after two minutes and not before") {
    Feed feed;
    Surroundings around{25, 220, 150};
    const auto named = [&](double per_tick) -> std::optional<std::int64_t> {
        for (int i = 0; i < 1'000; ++i) {
            if (feed.add(201.5, around) == Quality::frozen) return i * kTick_ms;
            *around.moving_c += per_tick;
        }
        return std::nullopt;
    };
    SUBCASE("it moves by 10 degrees a minute") {
        const auto at = named(10 / 240.0);
        REQUIRE(at);
        CHECK(*at >= 120'000);
        CHECK(*at <= 152'000);  // 25 degrees are reached after 150 s
        CHECK(feed.add(201.6, around) == Quality::good);
    }
    SUBCASE("both rest") { CHECK(!named(0)); }
    SUBCASE("nothing is known of the other") {
        around.moving_c.reset();
        for (int i = 0; i < 1'000; ++i) CHECK(feed.add(201.5, around) == Quality::good);
    }
}

TEST_CASE("noise: ignition spikes are told within a minute, a roast's curve with its charge never") {
    const std::uint64_t seed = 41;
    CAPTURE(seed);
    TestRandom random(seed);
    Smoother smoother;
    NoiseWatch watch;
    Tick now{0};
    const auto add = [&](double celsius) {
        smoother.add(now, *to_milli(celsius + 0.15 * random.normal()));
        watch.take(now, smoother.spikes());
        now = now + kTick_ms;
    };
    const auto curve = [](double s) {
        return s < 60 ? 200.0 : 95 + 105 * std::exp(-(s - 60) / 9) + (s - 60) * 0.17;
    };
    while (now.ms < 600'000) {
        add(curve(static_cast<double>(now.ms) / 1000));
        CHECK(!watch.noisy());
    }
    const double level = curve(600);
    const Tick began = now;
    std::optional<std::int64_t> told;
    for (int i = 0; i < 480; ++i) {
        add(level + (i % 20 == 7 ? 12.0 : 0.0));
        if (watch.noisy() && !told) told = now - began;
    }
    REQUIRE(told);
    CHECK(*told < 60'000);
    for (int i = 0; i < 260; ++i) add(level);
    CHECK(!watch.noisy());
}

TEST_CASE(
    "spikes now and then are the smoothing's affair, and a hot oxidiser's noise is no doubt of its probe") {
    const std::uint64_t seed = 43;
    CAPTURE(seed);
    TestRandom random(seed);
    for (const bool oxidiser : {false, true}) {
        Smoother smoother;
        NoiseWatch watch;
        Tick now{0};
        for (int i = 0; i < 2'400; ++i, now = now + kTick_ms) {
            const double celsius = oxidiser ? 800 + 1.8 * random.normal() : 180 + (i % 120 == 7 ? 20.0 : 0.0);
            smoother.add(now, *to_milli(celsius));
            watch.take(now, smoother.spikes());
            CHECK(!watch.noisy());
        }
    }
}

TEST_CASE("twins apart: beyond the limit for a minute, together again with a deadband") {
    TwinWatch watch;
    Tick now{0};
    const auto feed = [&](double off_c, double seconds, double per_min = 8) {
        std::optional<std::int64_t> told;
        const Tick from = now;
        for (; now - from < static_cast<std::int64_t>(seconds * 1000); now = now + kTick_ms) {
            watch.add(now, 180 + off_c, 180, per_min, per_min, 5);
            if (watch.apart() && !told) told = now - from;
        }
        return told;
    };
    CHECK(!feed(4.8, 600));
    CHECK(!feed(30, 600, -60));  // two sheaths in a charge
    CHECK(!feed(7, 50));
    CHECK(feed(7, 60));
    CHECK(std::fabs(watch.mean_c() - 7) < 0.5);
    feed(4.5, 300);
    CHECK(watch.apart());
    feed(-3, 300);
    CHECK(!watch.apart());
    CHECK(feed(-6, 300));
}

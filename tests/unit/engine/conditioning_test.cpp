// What the engine makes of spikes, leaps, lost readings and a known lag of the probe.
#include <doctest/doctest.h>

#include <cmath>

#include "bench.hpp"

using namespace drumwatch;

namespace {

CurveShape at_period(double step_s) {
    CurveShape shape;
    shape.step_s = step_s;
    return shape;
}

void put(Bench& bench, double since_charge_s, double bean_c) {
    const auto row =
        static_cast<std::size_t>(std::lround((bench.shape.idle_s + since_charge_s) / bench.shape.step_s));
    bench.file.rows[row].values[0] = to_milli(bean_c);
}

}  // namespace

TEST_CASE("a leap to overtemperature is alarmed by its raw readings, before any of it is smoothed") {
    for (const double step_s : {0.25, 1.0}) {
        CAPTURE(step_s);
        Bench bench(at_period(step_s));
        for (double t_s = 400; t_s < 420; t_s += step_s) put(bench, t_s, 250);
        bench.until(400 - step_s);
        const double before_c = *bench.engine.snapshot().roast->smoothed_c;
        const RuleSettings rule = AlarmSettings{}[AlarmRule::bean_high_high];
        const std::int64_t leap_ms = std::llround((bench.shape.idle_s + 400) * 1000);
        while (bench.count(EventKind::alarm_raised) == 0) {
            bench.tick();
            REQUIRE(bench.engine.snapshot().tick.ms <= leap_ms + rule.on_delay_ms);
            if (bench.engine.snapshot().tick.ms > leap_ms + Smoother::kConfirmMs - 250) continue;
            REQUIRE(bench.engine.snapshot().roast->smoothed_c);
            CHECK(std::fabs(*bench.engine.snapshot().roast->smoothed_c - before_c) < 0.5);
        }
        CHECK(bench.events.back().rule == AlarmRule::bean_high_high);
        CHECK(bench.engine.snapshot().tick.ms == leap_ms + rule.on_delay_ms);
    }
}

TEST_CASE("a spike of one reading changes neither the smooth value nor the rate of rise, at any rate") {
    for (const double step_s : {0.1, 0.25, 0.5, 1.0}) {
        for (const double spike_c : {20.0, -18.0, 60.0}) {
            CAPTURE(step_s);
            CAPTURE(spike_c);
            Bench plain(at_period(step_s));
            Bench spiked(at_period(step_s));
            plain.until(300 - step_s);
            put(spiked, 300, plain.engine.snapshot().roast->smoothed_c.value() + spike_c);
            spiked.until(300 - step_s);
            for (double t_s = 300; t_s < 315; t_s += step_s) {
                const Snapshot& a = plain.tick();
                const Snapshot& b = spiked.tick();
                REQUIRE(a.roast->smoothed_c);
                REQUIRE(b.roast->smoothed_c);
                CHECK(std::fabs(*a.roast->smoothed_c - *b.roast->smoothed_c) < 0.15);
                CHECK(std::fabs(*a.channel[0].rise_per_min - *b.channel[0].rise_per_min) < 1.0);
            }
        }
    }
}

TEST_CASE("the smooth value is back with the first reading after three seconds of open circuit") {
    for (const double step_s : {0.25, 1.0}) {
        CAPTURE(step_s);
        Bench bench(at_period(step_s));
        bench.until(300);
        bench.blind_until(303);
        CHECK_FALSE(bench.engine.snapshot().roast->smoothed_c);  // nothing is made up meanwhile
        const Snapshot& now = bench.tick();
        REQUIRE(now.roast->smoothed_c);
        CHECK(std::fabs(*now.roast->smoothed_c - from_milli(now.channel[0].value_milli)) < 0.5);
    }
}

TEST_CASE("a known lag of the bean probe is made up for in the smooth value only, if it is set") {
    Bench plain;
    Begin begin = Bench::begin(nullptr, plain.shape);
    begin.settings.channels[0].probe_lag_ms = 6'000;
    Bench ahead;
    ahead.engine = Engine(begin);
    for (const double t_s : {200.0, 300.0, 400.0, 500.0}) {
        const Snapshot& a = plain.until(t_s);
        const Snapshot& b = ahead.until(t_s);
        const double rise = *a.channel[0].rise_per_min;
        CHECK(*b.channel[0].rise_per_min == rise);
        CHECK(b.channel[0].value_milli == a.channel[0].value_milli);
        CHECK(*b.roast->smoothed_c - *a.roast->smoothed_c == doctest::Approx(rise / 60 * 6));
    }
    CHECK(plain.journal().find("charge") != std::string::npos);
    for (const Milestone which : {Milestone::charge, Milestone::turning_point}) {
        const auto i = static_cast<std::size_t>(which);
        const auto& of_plain = plain.engine.snapshot().roast->milestones[i];
        const auto& of_ahead = ahead.engine.snapshot().roast->milestones[i];
        REQUIRE(of_plain);
        CHECK(of_plain->at == of_ahead->at);
    }
}

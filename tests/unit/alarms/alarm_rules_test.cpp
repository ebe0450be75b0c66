// Which alarm comes when, and which hides which; defaults of alarms/settings.hpp (judgement, common
// practice).
#include <doctest/doctest.h>

#include "alarm_bench.hpp"

using namespace drumwatch;
using Bench = AlarmBench;

TEST_CASE("high-high hides high, and says so") {
    Bench bench;
    bench.inputs.roast.target_end_c = 210;
    bench.bean(217);
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::bean_high) == 5'000);
    bench.bean(245);
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::bean_high_high) == 3'000);
    CHECK(bench.until_edge(EventKind::alarm_suppressed, AlarmRule::bean_high) == 0);
    CHECK(bench.state(AlarmRule::bean_high) == AlarmState::suppressed);
    bench.bean(200);
    CHECK(bench.until_edge(EventKind::alarm_released, AlarmRule::bean_high) > 0);
    CHECK(bench.state(AlarmRule::bean_high) == AlarmState::normal);
}

TEST_CASE("a probe that burns away does not take its overtemperature with it") {
    Bench bench;
    bench.bean(260);
    bench.until_edge(EventKind::alarm_raised, AlarmRule::bean_high_high);
    bench.inputs.bean.quality = Quality::open_circuit;
    bench.tick();
    CHECK(bench.state(AlarmRule::bean_high_high) == AlarmState::latched_unacknowledged);
    CHECK(bench.book.sounder(bench.now).pattern == Pattern::high);
}

TEST_CASE("a probe that comes and goes is a fault after three bad ones of five readings") {
    Bench bench;
    bench.inputs.bean.fresh = true;
    std::size_t bad = 0;
    for (int i = 0; i < 12; ++i) {
        const bool good = i % 2 == 0;
        bench.inputs.bean.quality = good ? Quality::good : Quality::bad_reply;
        bad += good ? 0 : 1;
        if (!bench.tick().empty()) break;
    }
    CHECK(bad == 3);
    CHECK(bench.state(AlarmRule::bean_probe_fault) == AlarmState::unacknowledged);
}

TEST_CASE("a group of probes is one alarm, and the first of them is named") {
    Bench bench;
    bench.inputs.faulty_channels = 0b0100;
    bench.tick();
    bench.inputs.faulty_channels = 0b0111;
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::probe_fault) == 2'750);
    REQUIRE(bench.book.present().size() == 1);
    CHECK(bench.book.present()[0].members == 0b0111);
    CHECK(bench.book.present()[0].first == 2);
}

TEST_CASE("a flood begins with the eleventh alarm in ten minutes and ends below five") {
    Bench bench;
    AlarmSettings settings;
    settings[AlarmRule::record_failing].on_delay_ms = settings[AlarmRule::record_failing].off_delay_ms = 0;
    bench.book = AlarmBook(settings);
    for (int i = 0; i < 11; ++i) {
        CHECK_FALSE(bench.book.flood());
        bench.inputs.record_failing = true;
        bench.tick();
        bench.inputs.record_failing = false;
        for (int t = 0; t < 199; ++t) bench.tick();  // 50 s: 11 in some 9 minutes
    }
    CHECK(bench.book.flood());
    CHECK(bench.until_edge(EventKind::alarms_flood, AlarmRule::bean_high_high, 700'000) > 0);
    CHECK_FALSE(bench.book.flood());
}

TEST_CASE("moves and drop are not prompted while the oxidiser is cold or the burner may be out") {
    Bench bench;
    AlarmSettings settings;
    settings[AlarmRule::oxidiser_cold].on = true;
    settings[AlarmRule::oxidiser_cold].limit = 760;
    bench.book = AlarmBook(settings);
    bench.inputs.oxidiser = {true, Quality::good, 700'000};
    CHECK_FALSE(bench.book.safety_relevant_active());
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::oxidiser_cold, 70'000) == 60'000);
    CHECK(bench.book.safety_relevant_active());
    Bench burner;
    burner.inputs.roast.burner = 60;
    burner.inputs.roast.since_turning_s = 200;
    burner.inputs.roast.exhaust_rise_per_min = -30;
    burner.inputs.roast.since_move_s = 10;  // a move explains it
    CHECK(burner.until_edge(EventKind::alarm_raised, AlarmRule::flame_out, 40'000) == -1);
    burner.inputs.roast.since_move_s = 100;
    CHECK(burner.until_edge(EventKind::alarm_raised, AlarmRule::flame_out, 40'000) / 1'000 == 15);
    CHECK(burner.book.safety_relevant_active());
}

TEST_CASE("stall, runaway, drop overdue and slow cooling: each in its part of the roast only") {
    Bench bench;
    bench.inputs.roast.rise_per_min = 0.5;
    bench.inputs.roast.since_turning_s = 20;
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::stall, 30'000) == -1);
    bench.inputs.roast.since_turning_s = 100;
    bench.inputs.roast.since_crack_s = 30;  // a dip is natural there
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::stall, 30'000) == -1);
    bench.inputs.roast.since_crack_s = 70;
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::stall, 30'000) >= 20'000);
    Bench fast;
    fast.inputs.roast.rise_per_min = 16;
    fast.inputs.roast.target_rise_per_min = 9;
    fast.inputs.roast.target_end_c = 210;
    CHECK(fast.until_edge(EventKind::alarm_raised, AlarmRule::runaway_rise, 30'000) == -1);
    fast.inputs.roast.yellow_passed = true;
    CHECK(fast.until_edge(EventKind::alarm_raised, AlarmRule::runaway_rise, 30'000) >= 10'000);
    Bench late;
    late.inputs.roast.target_end_c = 210;
    late.bean(213.1);
    CHECK(late.until_edge(EventKind::alarm_raised, AlarmRule::drop_overdue) == 5'000);
    Bench tray;
    tray.inputs.tray = {true, Quality::good, 60'000};
    tray.inputs.ambient = {true, Quality::good, 24'000};
    tray.inputs.cooling_s = 100;
    CHECK(tray.until_edge(EventKind::alarm_raised, AlarmRule::cooling_slow, 30'000) == -1);
    tray.inputs.cooling_s = 301;
    CHECK(tray.until_edge(EventKind::alarm_raised, AlarmRule::cooling_slow, 30'000) >= 0);
}

TEST_CASE("a plateau that the target has is no stall, a curve that falls away from it is") {
    Bench bench;
    bench.inputs.roast.since_turning_s = 200;
    bench.inputs.roast.target_rise_per_min = 1.5;
    bench.inputs.roast.rise_per_min = 0.2;
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::stall, 60'000) == -1);
    bench.inputs.roast.rise_per_min = -1.2;
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::stall, 30'000) >= 20'000);
}

TEST_CASE("a leap past the target's end is bean high, never a drop that is overdue") {
    Bench bench;
    bench.inputs.roast.target_end_c = 210;
    bench.inputs.roast.rise_per_min = 200;
    bench.bean(214);
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::drop_overdue, 20'000) == -1);
    bench.bean(217);
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::bean_high, 20'000) == 5'000);
    CHECK(bench.state(AlarmRule::drop_overdue) == AlarmState::normal);
    bench.tick();
    CHECK(bench.state(AlarmRule::drop_overdue) == AlarmState::suppressed);
}

TEST_CASE("overtemperature speaks for drift and a runaway rise as well") {
    Bench bench;
    bench.inputs.roast.target_end_c = 210;
    bench.bean(245);
    bench.until_edge(EventKind::alarm_raised, AlarmRule::bean_high_high);
    bench.inputs.roast.deviation_c = 35;
    bench.inputs.roast.rise_per_min = 90;
    bench.inputs.roast.target_rise_per_min = 6;
    bench.inputs.roast.yellow_passed = true;
    for (const AlarmRule rule : {AlarmRule::drift, AlarmRule::runaway_rise})
        CHECK(bench.until_edge(EventKind::alarm_raised, rule, 30'000) == -1);
    CHECK(bench.state(AlarmRule::drift) == AlarmState::suppressed);
}

TEST_CASE("a reading that is missing for a moment does not end a runaway rise") {
    Bench bench;
    bench.inputs.roast.target_end_c = 210;
    bench.inputs.roast.target_rise_per_min = 9;
    bench.inputs.roast.yellow_passed = true;
    bench.inputs.roast.rise_per_min = 20;
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::runaway_rise, 30'000) >= 10'000);
    bench.inputs.roast.rise_per_min.reset();
    bench.inputs.roast.target_rise_per_min.reset();
    CHECK(bench.until_edge(EventKind::alarm_cleared, AlarmRule::runaway_rise, 30'000) == -1);
}

TEST_CASE("an alarm that was shelved does not call when its shelf ends with the batch") {
    Bench bench;
    bench.inputs.roast.deviation_c = 9;
    bench.until_edge(EventKind::alarm_raised, AlarmRule::drift);
    REQUIRE(bench.book.shelve(AlarmRule::drift, 600'000, bench.now) == Refusal::none);
    bench.tick();
    bench.inputs.roasting = false;
    bench.book.end_batch();
    const auto edges = bench.tick();
    REQUIRE(edges.size() == 1);
    CHECK(edges[0].kind == EventKind::alarm_unshelved);
    CHECK(bench.book.sounder(bench.now).pattern == Pattern::off);
    CHECK(bench.book.present().empty());
}

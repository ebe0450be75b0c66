// Lifecycle after ANSI/ISA-18.2 (from memory); delays and deadbands by the defaults of alarms/settings.hpp.
#include <doctest/doctest.h>

#include <vector>

#include "alarm_bench.hpp"
#include "support/random.hpp"

using namespace drumwatch;
using Bench = AlarmBench;

TEST_CASE("overtemperature: above the limit for its delay, not at it") {
    Bench bench;
    bench.bean(240.0);
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::bean_high_high, 20'000) == -1);
    bench.bean(240.1);
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::bean_high_high) == 3'000);
    CHECK(bench.book.sounder(bench.now).pattern == Pattern::high);
}

TEST_CASE("a short excursion resets the delay") {
    Bench bench;
    for (int i = 0; i < 20; ++i) {
        bench.bean(241);
        for (int t = 0; t < 11; ++t) CHECK(bench.tick().empty());
        bench.bean(239);
        CHECK(bench.tick().empty());
    }
}

TEST_CASE("the deadband acts on clearing only, and a latched alarm waits for seen and reset") {
    Bench bench;
    bench.bean(241);
    bench.until_edge(EventKind::alarm_raised, AlarmRule::bean_high_high);
    bench.bean(237.1);  // below the limit, not yet below limit - 3 C
    CHECK(bench.until_edge(EventKind::alarm_cleared, AlarmRule::bean_high_high, 30'000) == -1);
    bench.bean(237.0);
    CHECK(bench.until_edge(EventKind::alarm_cleared, AlarmRule::bean_high_high) == 10'000);
    CHECK(bench.state(AlarmRule::bean_high_high) == AlarmState::latched_unacknowledged);
    CHECK(bench.book.sounder(bench.now).pattern == Pattern::high);
    const auto id = bench.occurrence(AlarmRule::bean_high_high);
    CHECK(bench.book.acknowledge(id, bench.now) == Refusal::none);
    CHECK(bench.state(AlarmRule::bean_high_high) == AlarmState::latched_acknowledged);
    CHECK(bench.book.reset(id) == Refusal::none);
    CHECK(bench.state(AlarmRule::bean_high_high) == AlarmState::normal);
    CHECK(bench.book.acknowledge(id, bench.now) == Refusal::not_active);
    CHECK(bench.book.acknowledge(id + 5, bench.now) == Refusal::unknown_occurrence);
}

TEST_CASE("a latched alarm is not reset while its condition holds") {
    Bench bench;
    bench.bean(245);
    bench.until_edge(EventKind::alarm_raised, AlarmRule::bean_high_high);
    CHECK(bench.book.reset(bench.occurrence(AlarmRule::bean_high_high)) == Refusal::still_active);
}

TEST_CASE("silence stops the sound only, a new alarm sounds again, acknowledge names one occurrence") {
    Bench bench;
    bench.bean(245);
    bench.until_edge(EventKind::alarm_raised, AlarmRule::bean_high_high);
    bench.book.silence(bench.now);
    bench.tick();
    CHECK(bench.book.sounder(bench.now).pattern == Pattern::off);
    CHECK(bench.book.sounder(bench.now).silenced);
    CHECK(bench.state(AlarmRule::bean_high_high) == AlarmState::unacknowledged);
    bench.inputs.record_failing = true;
    bench.until_edge(EventKind::alarm_raised, AlarmRule::record_failing);
    CHECK(bench.book.sounder(bench.now).pattern == Pattern::medium);
}

TEST_CASE("a late tap never acknowledges a newer occurrence") {
    Bench bench;
    bench.inputs.record_failing = true;
    bench.until_edge(EventKind::alarm_raised, AlarmRule::record_failing);
    const auto first = bench.occurrence(AlarmRule::record_failing);
    bench.inputs.record_failing = false;
    CHECK(bench.until_edge(EventKind::alarm_cleared, AlarmRule::record_failing, 70'000) == 60'000);
    CHECK(bench.state(AlarmRule::record_failing) == AlarmState::returned_unacknowledged);
    bench.inputs.record_failing = true;
    bench.until_edge(EventKind::alarm_raised, AlarmRule::record_failing);
    CHECK(bench.book.acknowledge(first, bench.now) == Refusal::not_active);
    CHECK(bench.state(AlarmRule::record_failing) == AlarmState::unacknowledged);
}

TEST_CASE("drift: at twice the corridor, in the judged stretch only, over at the drop") {
    Bench bench;
    bench.inputs.roast.corridor_c = 1.1;
    bench.inputs.roast.deviation_c = -2.2;
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::drift, 30'000) == -1);
    bench.inputs.roast.deviation_c = -2.3;
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::drift) == 10'000);
    bench.inputs.roasting = false;
    CHECK(bench.until_edge(EventKind::alarm_cleared, AlarmRule::drift) == 0);
    bench.inputs.roast.deviation_c = -9;
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::drift, 30'000) == -1);
}

TEST_CASE("drift: where the target is steep, at its wider corridor") {
    Bench bench;
    bench.inputs.roast.corridor_c = 2.6;
    bench.inputs.roast.deviation_c = 2.5;
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::drift, 30'000) == -1);
    bench.inputs.roast.deviation_c = 2.7;
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::drift) == 10'000);
}

TEST_CASE("drift and stall wait while the bean reading may be frozen, their delay runs on") {
    Bench bench;
    RoastInput& roast = bench.inputs.roast;
    roast.corridor_c = 1.1;
    roast.deviation_c = -3;
    roast.stands_still = true;
    roast.stands_unexplained = true;
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::drift, 30'000) == -1);
    roast.stands_unexplained = false;  // the exhaust falls: it is the roast
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::drift) == 0);
    roast.stands_unexplained = true;  // what sounds goes on, and ends as ever
    CHECK(bench.until_edge(EventKind::alarm_cleared, AlarmRule::drift, 30'000) == -1);
    roast.deviation_c = 0;
    CHECK(bench.until_edge(EventKind::alarm_cleared, AlarmRule::drift) == 15'000);

    roast.since_turning_s = 200;
    roast.rise_per_min = 0;
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::stall, 60'000) == -1);
    roast.stands_still = false;  // it moved, and still does not rise
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::stall) <= 1'000);
}

TEST_CASE("a dead bean probe: high while roasting, it blinds the value alarms and changes nothing else") {
    Bench bench;
    bench.inputs.bean.fresh = true;
    bench.inputs.bean.quality = Quality::open_circuit;
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::bean_probe_fault) == 500);
    CHECK(bench.book.present()[0].priority == Priority::high);
    CHECK(bench.book.safety_relevant_active());
    bench.bean(300);
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::bean_high_high, 20'000) == -1);
    // A suspect value inside the span is looked at all the same.
    bench.inputs.bean.quality = Quality::suspect;
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::bean_high_high) == 3'000);
}

TEST_CASE("a silent bus speaks for its channels") {
    Bench bench;
    bench.inputs.bean.quality = Quality::bus_silent;
    bench.inputs.silent_buses = 1;
    bench.inputs.silent_channels = 3;
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::bus_silent) == 2'000);
    const auto present = bench.book.present();
    REQUIRE(present.size() == 1);
    CHECK(present[0].priority == Priority::high);
    CHECK(present[0].members == 3);
    bench.inputs.roasting = false;
    Bench idle;
    idle.inputs.roasting = false;
    idle.inputs.silent_buses = 1;
    idle.until_edge(EventKind::alarm_raised, AlarmRule::bus_silent);
    CHECK(idle.book.present()[0].priority == Priority::medium);
}

TEST_CASE("exhaust high is off until the site sets it") {
    Bench bench;
    bench.inputs.exhaust.value_milli = 500'000;
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::exhaust_high, 30'000) == -1);
    AlarmSettings settings;
    settings[AlarmRule::exhaust_high].on = true;
    settings[AlarmRule::exhaust_high].limit = 290;
    bench.book = AlarmBook(settings);
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::exhaust_high) == 5'000);
}

TEST_CASE("latched alarms outlive a restart, others are judged anew, and no occurrence is given twice") {
    Bench before;
    before.bean(245);
    REQUIRE(before.until_edge(EventKind::alarm_raised, AlarmRule::bean_high_high) > 0);
    before.inputs.record_failing = true;
    REQUIRE(before.until_edge(EventKind::alarm_raised, AlarmRule::record_failing) > 0);
    const std::uint64_t first = before.occurrence(AlarmRule::bean_high_high);

    for (const bool acknowledged : {false, true}) {
        CAPTURE(acknowledged);
        if (acknowledged) REQUIRE(before.book.acknowledge(first, before.now) == Refusal::none);
        Bench after;
        after.book = AlarmBook(AlarmSettings{}, after_restart(before.book.memory(), AlarmSettings{}, Tick{}));
        after.tick();
        CHECK(after.state(AlarmRule::bean_high_high) ==
              (acknowledged ? AlarmState::latched_acknowledged : AlarmState::latched_unacknowledged));
        CHECK(after.state(AlarmRule::record_failing) == AlarmState::normal);
        CHECK((after.book.sounder(after.now).pattern == Pattern::high) == !acknowledged);
        after.bean(246);
        REQUIRE(after.until_edge(EventKind::alarm_raised, AlarmRule::bean_high_high) > 0);
        CHECK(after.occurrence(AlarmRule::bean_high_high) == 3);
        CHECK(after.book.acknowledge(first, after.now) == Refusal::not_active);
    }
}

TEST_CASE("overshoot: a ramp of 20 C a minute is raised within the delay and a tick") {
    Bench bench;
    double bean_c = 235;
    double raised_c = 0;
    for (int i = 0; i < 400 && raised_c == 0; ++i) {
        bean_c += 20.0 / 240;
        bench.bean(bean_c);
        if (!bench.tick().empty()) raised_c = bean_c;
    }
    CHECK(raised_c > 240);
    CHECK(raised_c <= 241.4);
}

TEST_CASE("no chatter: eight hours of noise below the limit raise nothing, on the limit one alarm stays") {
    // 1 C below, 0.3 C of noise at 1 Hz: 3.3 standard deviations, three readings in a row each above.
    Bench bench;
    TestRandom random(31);
    const auto noisy_second = [&](double mean_c) {
        bench.bean(mean_c + 0.3 * random.normal());
        std::size_t raised = 0;
        for (int i = 0; i < 4; ++i) {
            for (const Event& edge : bench.tick())
                raised += edge.kind == EventKind::alarm_raised && edge.rule == AlarmRule::bean_high_high;
        }
        return raised;
    };
    std::size_t onsets = 0;
    for (int s = 0; s < 8 * 3600; ++s) onsets += noisy_second(239);
    CHECK(onsets == 0);
    for (int s = 0; s < 120; ++s) onsets += noisy_second(240);
    CHECK(onsets == 1);
    for (int s = 0; s < 3600; ++s) onsets += noisy_second(240);
    CHECK(onsets == 1);  // the deadband holds it
}

TEST_CASE("what lasts calls again after its time, acknowledged or silenced, as the same occurrence") {
    for (const bool silenced : {false, true}) {
        CAPTURE(silenced);
        Bench bench;
        bench.bean(245);
        bench.until_edge(EventKind::alarm_raised, AlarmRule::bean_high_high);
        const auto id = bench.occurrence(AlarmRule::bean_high_high);
        if (silenced) bench.book.silence(bench.now);
        if (!silenced) REQUIRE(bench.book.acknowledge(id, bench.now) == Refusal::none);
        CHECK(bench.until_edge(EventKind::alarm_again, AlarmRule::bean_high_high, 130'000) == 120'000);
        CHECK(bench.state(AlarmRule::bean_high_high) == AlarmState::unacknowledged);
        CHECK(bench.occurrence(AlarmRule::bean_high_high) == id);
        CHECK(bench.book.sounder(bench.now).pattern == Pattern::high);
    }
    Bench medium;
    medium.inputs.record_failing = true;
    medium.until_edge(EventKind::alarm_raised, AlarmRule::record_failing);
    medium.book.acknowledge(medium.occurrence(AlarmRule::record_failing), medium.now);
    CHECK(medium.until_edge(EventKind::alarm_again, AlarmRule::record_failing, 310'000) == 300'000);
}

TEST_CASE(
    "shelving: half an hour at most, back at its time or with the batch, never what stands before danger") {
    Bench bench;
    bench.inputs.roast.deviation_c = 9;
    bench.until_edge(EventKind::alarm_raised, AlarmRule::drift);
    CHECK(bench.book.shelve(AlarmRule::drift, 31 * 60'000, bench.now) == Refusal::too_long);
    CHECK(bench.book.shelve(AlarmRule::bean_high_high, 60'000, bench.now) == Refusal::not_shelvable);
    CHECK(bench.book.shelve(AlarmRule::bean_probe_fault, 60'000, bench.now) == Refusal::not_shelvable);
    CHECK(bench.book.unshelve(AlarmRule::drift) == Refusal::not_shelved);
    REQUIRE(bench.book.shelve(AlarmRule::drift, 60'000, bench.now) == Refusal::none);
    bench.tick();
    CHECK(bench.book.sounder(bench.now).pattern == Pattern::off);
    CHECK(bench.state(AlarmRule::drift) == AlarmState::shelved);
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::drift, 70'000) == 59'750);
    REQUIRE(bench.book.shelve(AlarmRule::drift, 600'000, bench.now) == Refusal::none);
    bench.tick();
    bench.book.end_batch();
    CHECK(bench.until_edge(EventKind::alarm_unshelved, AlarmRule::drift) == 0);
    const auto after = after_restart(bench.book.memory(), AlarmSettings{}, Tick{});
    CHECK(after.alarms[static_cast<std::size_t>(AlarmRule::drift)].state == AlarmState::unknown);
}

TEST_CASE("out of service: until it is put back, over a restart, and never the overtemperature") {
    Bench bench;
    bench.tick();
    CHECK(bench.book.take_out(AlarmRule::bean_high_high, false, bench.now) == Refusal::stays_in_service);
    CHECK(bench.book.take_out(AlarmRule::bean_probe_fault, true, bench.now) == Refusal::stays_in_service);
    REQUIRE(bench.book.take_out(AlarmRule::record_failing, true, bench.now) == Refusal::none);
    CHECK(bench.book.take_out(AlarmRule::record_failing, true, bench.now) == Refusal::already_so);
    bench.inputs.record_failing = true;
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::record_failing, 20'000) == -1);
    CHECK(bench.state(AlarmRule::record_failing) == AlarmState::out_of_service);
    bench.book = AlarmBook(AlarmSettings{}, after_restart(bench.book.memory(), AlarmSettings{}, bench.now));
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::record_failing, 20'000) == -1);
    REQUIRE(bench.book.put_back(AlarmRule::record_failing) == Refusal::none);
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::record_failing) == 0);
    CHECK(bench.book.put_back(AlarmRule::record_failing) == Refusal::not_out_of_service);
}

// Lifecycle after ANSI/ISA-18.2 (from memory); delays and deadbands by the defaults of alarms/settings.hpp.
#include <doctest/doctest.h>

#include <vector>

#include "alarms/alarm_book.hpp"

using namespace drumwatch;

namespace {

class Bench {
  public:
    AlarmInputs inputs;
    AlarmBook book{AlarmSettings{}};
    Tick now;

    Bench() {
        inputs.bean = {true, Quality::good, 200'000};
        inputs.exhaust = {true, Quality::good, 220'000};
        inputs.roasting = true;
        inputs.bean_buses = 1;
    }
    AlarmBook::Edges tick() {
        const auto edges = book.round(now, inputs);
        now = now + 250;
        return edges;
    }
    /// Ticks until something happens; gives the milliseconds from the first of them, or -1.
    std::int64_t until_edge(EventKind kind, AlarmRule rule, std::int64_t limit_ms = 60'000) {
        const Tick begin = now;
        while (now - begin <= limit_ms) {
            const Tick at = now;
            for (const Event& edge : tick()) {
                if (edge.kind == kind && edge.rule == rule) return at - begin;
            }
        }
        return -1;
    }
    void bean(double celsius) { inputs.bean.value_milli = *to_milli(celsius); }
    AlarmState state(AlarmRule rule) {
        for (const AlarmView& view : book.present()) {
            if (view.rule == rule) return view.state;
        }
        return AlarmState::normal;
    }
    std::uint64_t occurrence(AlarmRule rule) {
        for (const AlarmView& view : book.present()) {
            if (view.rule == rule) return view.occurrence;
        }
        return 0;
    }
};

}  // namespace

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
    CHECK(bench.book.acknowledge(id) == Refusal::none);
    CHECK(bench.state(AlarmRule::bean_high_high) == AlarmState::latched_acknowledged);
    CHECK(bench.book.reset(id) == Refusal::none);
    CHECK(bench.state(AlarmRule::bean_high_high) == AlarmState::normal);
    CHECK(bench.book.acknowledge(id) == Refusal::not_active);
    CHECK(bench.book.acknowledge(id + 5) == Refusal::unknown_occurrence);
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
    bench.book.silence();
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
    CHECK(bench.book.acknowledge(first) == Refusal::not_active);
    CHECK(bench.state(AlarmRule::record_failing) == AlarmState::unacknowledged);
}

TEST_CASE("drift: at twice the corridor, in the judged stretch only, over at the drop") {
    Bench bench;
    bench.inputs.corridor_c = 1.1;
    bench.inputs.deviation_c = -2.2;
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::drift, 30'000) == -1);
    bench.inputs.deviation_c = -2.3;
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::drift) == 10'000);
    bench.inputs.roasting = false;
    CHECK(bench.until_edge(EventKind::alarm_cleared, AlarmRule::drift) == 0);
    bench.inputs.deviation_c = -9;
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::drift, 30'000) == -1);
}

TEST_CASE("drift: where the target is steep, at its wider corridor") {
    Bench bench;
    bench.inputs.corridor_c = 2.6;
    bench.inputs.deviation_c = 2.5;
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::drift, 30'000) == -1);
    bench.inputs.deviation_c = 2.7;
    CHECK(bench.until_edge(EventKind::alarm_raised, AlarmRule::drift) == 10'000);
}

TEST_CASE("a dead bean probe: high while roasting, it blinds the value alarms and changes nothing else") {
    Bench bench;
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
        if (acknowledged) REQUIRE(before.book.acknowledge(first) == Refusal::none);
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
        CHECK(after.book.acknowledge(first) == Refusal::not_active);
    }
}

// What the snapshot says of floods and of what was put aside.
#include <doctest/doctest.h>

#include "bench.hpp"

namespace drumwatch {

namespace {

Frame cold(std::int64_t ms) {
    Frame frame;
    frame.tick = Tick{ms};
    frame.channels = 2;
    frame.samples[0] = {25'000, Quality::good, true};
    return frame;
}

Begin idle() { return Bench::begin(nullptr, CurveShape{}); }

}  // namespace

TEST_CASE("a flood is on from the 11th alarm within 10 minutes until less than 5 are left in them") {
    // ANSI/ISA-18.2, secondary source: starts at more than 10 in 10 minutes, ends at less than 5.
    for (const int onsets : {10, 11}) {
        Begin begin = idle();
        for (int i = 0; i < onsets; ++i) begin.carried.alarms.onsets.add(i * 1'000);
        begin.carried.first = Tick{60'000};
        // Something must be in sight, or nothing is looked at.
        begin.carried.alarms.alarms[static_cast<std::size_t>(AlarmRule::disk_low)].state =
            AlarmState::out_of_service;
        Engine engine(begin);
        CHECK(engine.step(cold(60'000)).alarm_flood == (onsets == 11));
        // The 5th newest of 11 came at 6 s.
        CHECK(engine.step(cold(605'750)).alarm_flood == (onsets == 11));
        CHECK_FALSE(engine.step(cold(606'000)).alarm_flood);
    }
}

TEST_CASE("the snapshot names who put an alarm aside, and a watch hands it on") {
    Engine engine(idle());
    CHECK(engine.step(cold(0)).put_aside_notes == nullptr);
    Command command;
    command.kind = CommandKind::out_of_service;
    command.rule = AlarmRule::disk_low;
    command.who = "Ines";
    command.tick = Tick{250};
    CHECK(engine.apply(command) == Refusal::no_reason);
    CHECK(engine.step(cold(250)).put_aside_notes == nullptr);
    command.text = "the disk is replaced";
    command.tick = Tick{500};
    REQUIRE(engine.apply(command) == Refusal::none);
    const auto note = [](const Snapshot& now) {
        return (*now.put_aside_notes)[static_cast<std::size_t>(AlarmRule::disk_low)];
    };
    CHECK(note(engine.step(cold(500))) == PutAsideNote{"Ines", "the disk is replaced"});
    Begin next = idle();
    next.carried = engine.carry(Tick{750});
    Engine after(next);
    CHECK(note(after.step(cold(750))) == PutAsideNote{"Ines", "the disk is replaced"});
}

}  // namespace drumwatch

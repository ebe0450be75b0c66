// What a person is offered to put aside, and who did it: what is offered is never refused, what is refused is
// never offered.
#include <array>

#include "alarm_bench.hpp"

namespace drumwatch {

namespace {

constexpr std::array kStates{AlarmState::unacknowledged,
                             AlarmState::acknowledged,
                             AlarmState::returned_unacknowledged,
                             AlarmState::latched_unacknowledged,
                             AlarmState::latched_acknowledged,
                             AlarmState::shelved,
                             AlarmState::suppressed,
                             AlarmState::out_of_service};

AlarmBook book_with(AlarmRule rule, AlarmState state, bool roasting) {
    AlarmBookMemory memory;
    AlarmMemory& alarm = memory.alarms[static_cast<std::size_t>(rule)];
    alarm.state = state;
    alarm.occurrence = memory.occurrences = 1;
    alarm.holds = state == AlarmState::unacknowledged || state == AlarmState::acknowledged;
    if (state == AlarmState::suppressed) alarm.suppressed_by = SuppressedBy::probe_fault;
    memory.roasting = roasting;
    return AlarmBook(AlarmSettings{}, memory);
}

AlarmView only_one(const AlarmBook& book) {
    const auto views = book.present();
    REQUIRE(views.size() == 1);
    return views[0];
}

}  // namespace

TEST_CASE("what may be put aside is offered, and nothing else, in every state of every rule") {
    int offered = 0;
    for (std::size_t rule = 0; rule < kAlarmRules; ++rule) {
        for (const AlarmState state : kStates) {
            for (const bool roasting : {false, true}) {
                const AlarmBook book = book_with(static_cast<AlarmRule>(rule), state, roasting);
                const AlarmView view = only_one(book);
                CAPTURE(name(view.rule));
                CAPTURE(name(state));
                AlarmBook shelves = book;
                CHECK(view.can_shelve == (shelves.shelve(view.rule, 60'000, {}) == Refusal::none));
                AlarmBook takes = book;
                CHECK(view.can_take_out == (takes.take_out(view.rule, roasting, {}) == Refusal::none));
                offered += (view.can_shelve ? 1 : 0) + (view.can_take_out ? 1 : 0);
            }
        }
    }
    CHECK(offered > 0);
    CHECK_FALSE(only_one(book_with(AlarmRule::bean_high_high, AlarmState::acknowledged, false)).can_take_out);
    CHECK_FALSE(only_one(book_with(AlarmRule::carbon_monoxide, AlarmState::acknowledged, false)).can_shelve);
}

TEST_CASE(
    "who put an alarm aside and why is kept with it, over a restart as long as it stays out of service") {
    AlarmBench bench;
    bench.tick();
    CHECK(bench.book.notes() == nullptr);
    REQUIRE(bench.book.take_out(AlarmRule::disk_low, true, bench.now) == Refusal::none);
    bench.book.keep_note(AlarmRule::disk_low, {"Ines", "disk is replaced"});
    REQUIRE(bench.book.shelve(AlarmRule::record_failing, 60'000, bench.now) == Refusal::none);
    bench.book.keep_note(AlarmRule::record_failing, {"Jory", "trial"});
    const auto note = [](const AlarmBookMemory& memory, AlarmRule rule) {
        return (*memory.notes)[static_cast<std::size_t>(rule)];
    };
    CHECK(note(bench.book.memory(), AlarmRule::record_failing) == PutAsideNote{"Jory", "trial"});
    const AlarmBookMemory after = after_restart(bench.book.memory(), AlarmSettings{}, Tick{});
    REQUIRE(after.notes != nullptr);
    CHECK(note(after, AlarmRule::disk_low) == PutAsideNote{"Ines", "disk is replaced"});
    REQUIRE(bench.book.put_back(AlarmRule::disk_low) == Refusal::none);
    CHECK(after_restart(bench.book.memory(), AlarmSettings{}, Tick{}).notes == nullptr);
}

}  // namespace drumwatch

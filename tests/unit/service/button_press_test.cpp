#include "service/button_press.hpp"

#include <doctest/doctest.h>

using namespace drumwatch;

namespace {

std::string refused(ButtonMeaning meaning, const Snapshot& shown) {
    const auto meant = command_of(meaning, shown);
    REQUIRE(std::holds_alternative<std::string>(meant));
    return std::get<std::string>(meant);
}

Command done(ButtonMeaning meaning, const Snapshot& shown) {
    const auto meant = command_of(meaning, shown);
    REQUIRE_MESSAGE(std::holds_alternative<Command>(meant), std::get<std::string>(meant));
    return std::get<Command>(meant);
}

AlarmView alarm(std::uint64_t occurrence, Priority priority, AlarmState state) {
    AlarmView view;
    view.occurrence = occurrence;
    view.priority = priority;
    view.state = state;
    return view;
}

/// In the drum for 300 s.
Snapshot roasting() {
    Snapshot shown;
    shown.sequence = 4'001;
    shown.tick = {1'000'000};
    shown.roast.emplace();
    shown.roast->charge = {700'000};
    shown.roast->smoothed_c = 158;
    return shown;
}

void set(Snapshot& shown, Milestone milestone, std::int64_t at_ms, MarkSource source) {
    MilestoneAt at;
    at.at = {at_ms};
    at.source = source;
    shown.roast->milestones[static_cast<std::size_t>(milestone)] = at;
}

}  // namespace

TEST_CASE("acknowledge means the newest alarm of the highest priority that waits for it") {
    Snapshot shown;
    CHECK(refused(ButtonMeaning::acknowledge, shown) == "no alarm waits to be acknowledged");
    shown.alarms.push_back(alarm(7, Priority::high, AlarmState::acknowledged));
    CHECK(refused(ButtonMeaning::acknowledge, shown) == "no alarm waits to be acknowledged");
    shown.alarms.push_back(alarm(9, Priority::low, AlarmState::unacknowledged));
    CHECK(done(ButtonMeaning::acknowledge, shown).occurrence == 9);
    shown.alarms.push_back(alarm(3, Priority::medium, AlarmState::returned_unacknowledged));
    CHECK(done(ButtonMeaning::acknowledge, shown).occurrence == 3);
    shown.alarms.push_back(alarm(5, Priority::medium, AlarmState::unacknowledged));
    const Command command = done(ButtonMeaning::acknowledge, shown);
    CHECK(command.kind == CommandKind::acknowledge);
    CHECK(command.occurrence == 5);
    shown.alarms.push_back(alarm(2, Priority::high, AlarmState::latched_unacknowledged));
    CHECK(done(ButtonMeaning::acknowledge, shown).occurrence == 2);
}

TEST_CASE("silence does nothing where nothing sounds") {
    Snapshot shown;
    CHECK(refused(ButtonMeaning::silence, shown) == "no alarm sounds");
    shown.sounder.pattern = Pattern::low;
    CHECK(done(ButtonMeaning::silence, shown).kind == CommandKind::silence);
}

TEST_CASE("the next mark is yellow, then first crack, then drop, and an estimate is no mark") {
    CHECK(refused(ButtonMeaning::next_mark, Snapshot{}) == "nothing is in the drum");
    Snapshot shown = roasting();
    CHECK(refused(ButtonMeaning::next_mark, shown) == "the curve has not turned yet");
    set(shown, Milestone::turning_point, 780'000, MarkSource::detected);
    const Command yellow = done(ButtonMeaning::next_mark, shown);
    CHECK(yellow.kind == CommandKind::mark);
    CHECK(yellow.milestone == Milestone::yellow);
    CHECK(yellow.at == shown.tick);
    CHECK(yellow.seen == 4'001);
    set(shown, Milestone::yellow, 950'000, MarkSource::detected);
    CHECK(done(ButtonMeaning::next_mark, shown).milestone == Milestone::yellow);
    shown.roast->smoothed_c = 165;
    CHECK(done(ButtonMeaning::next_mark, shown).milestone == Milestone::first_crack);
    shown.roast->smoothed_c.reset();
    CHECK(refused(ButtonMeaning::next_mark, shown).find("the bean temperature is not known") == 0);
    set(shown, Milestone::yellow, 950'000, MarkSource::mark);
    CHECK(done(ButtonMeaning::next_mark, shown).milestone == Milestone::first_crack);
    set(shown, Milestone::first_crack, 980'000, MarkSource::detected);
    CHECK(done(ButtonMeaning::next_mark, shown).milestone == Milestone::first_crack);
    set(shown, Milestone::first_crack, 991'000, MarkSource::mark);
    CHECK(refused(ButtonMeaning::next_mark, shown) == "first crack was marked 9 s ago: that is no drop yet");
    set(shown, Milestone::first_crack, 990'000, MarkSource::mark);
    CHECK(done(ButtonMeaning::next_mark, shown).milestone == Milestone::drop);
}

TEST_CASE("a move is done at its planned level, when it is due soon or overdue") {
    CHECK(refused(ButtonMeaning::move_done, Snapshot{}) == "nothing is in the drum");
    Snapshot shown = roasting();
    CHECK(refused(ButtonMeaning::move_done, shown) == "no more moves are planned");
    MoveView made;
    made.planned = 0;
    MoveView next;
    next.planned = 1;
    next.control = Control::airflow;
    next.planned_level = 62.5;
    shown.moves.push_back(made);
    shown.moves.push_back(next);
    shown.next_move = NextMoveView{1, std::nullopt};
    CHECK(refused(ButtonMeaning::move_done, shown).find("when the next move is due") == 0);
    shown.next_move->in_s = 31;
    CHECK(refused(ButtonMeaning::move_done, shown) == "the next move is due in 31 s only");
    for (const double in_s : {30.0, 0.0, -45.0}) {
        shown.next_move->in_s = in_s;
        const Command command = done(ButtonMeaning::move_done, shown);
        CHECK(command.kind == CommandKind::made_move);
        CHECK(command.control == Control::airflow);
        CHECK(command.level_milli == 62'500);
        CHECK(command.at == shown.tick);
    }
}

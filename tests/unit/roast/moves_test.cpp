#include <doctest/doctest.h>

#include "roast/follow/moves.hpp"
#include "support/targets.hpp"

using namespace drumwatch;

namespace {

Target three_moves() {
    Target target = straight_target();
    target.moves = {planned(Control::burner, 80, TriggerKind::at_s, 100),
                    planned(Control::airflow, 60, TriggerKind::at_s, 200),
                    planned(Control::burner, 60, TriggerKind::at_s, 300)};
    return target;
}

TriggerTimes came(double now_s) {
    TriggerTimes times;
    for (const double at_s : {100.0, 200.0, 300.0}) times.push_back({at_s, now_s >= at_s});
    return times;
}

MadeMove made(Control control, double level, double at_s) {
    return {control, level, Tick{static_cast<std::int64_t>(at_s * 1000)}};
}

FixedList<MoveView, kMaxMoves> match(const MadeMoves& moves, double now_s, bool over = false) {
    return match_moves(three_moves(), came(now_s), moves, Tick{0}, now_s, over, {});
}

}  // namespace

TEST_CASE("moves are matched in order, each control by itself") {
    MadeMoves moves;
    moves.push_back(made(Control::burner, 80, 104));
    moves.push_back(made(Control::burner, 60, 345));
    moves.push_back(made(Control::airflow, 60, 185));
    const auto views = match(moves, 400);
    REQUIRE(views.size() == 3);
    CHECK(views[0].judgement == MoveJudgement::on_time);
    CHECK(*views[0].error_s == doctest::Approx(4));
    CHECK(views[1].judgement == MoveJudgement::early);
    CHECK(*views[1].error_s == doctest::Approx(-15));
    CHECK(views[2].judgement == MoveJudgement::late);
    CHECK(*views[2].error_s == doctest::Approx(45));
}

TEST_CASE("ten seconds are on time, a tick more is not") {
    MadeMoves moves;
    moves.push_back(made(Control::burner, 80, 110));
    CHECK(match(moves, 150)[0].judgement == MoveJudgement::on_time);
    moves.clear();
    moves.push_back(made(Control::burner, 80, 110.25));
    CHECK(match(moves, 150)[0].judgement == MoveJudgement::late);
}

TEST_CASE("missed, wrong level, extra, never reached") {
    MadeMoves moves;
    moves.push_back(made(Control::burner, 70, 102));  // planned: 80
    moves.push_back(made(Control::burner, 95, 200));  // nobody planned it
    const auto views = match(moves, 250, true);
    REQUIRE(views.size() == 4);
    CHECK(views[0].judgement == MoveJudgement::wrong_level);
    CHECK(views[1].judgement == MoveJudgement::missed);   // the airflow move was due at 200 s
    CHECK(views[2].judgement == MoveJudgement::waiting);  // due at 300 s: dropped before
    CHECK(views[3].judgement == MoveJudgement::extra);
    CHECK(views[3].planned == -1);
}

TEST_CASE("what is set before the charge or with the drop is no extra move") {
    MadeMoves moves;
    moves.push_back(made(Control::burner, 65, -3));
    moves.push_back(made(Control::burner, 0, 395.5));
    CHECK(match(moves, 400, true).size() == 3);
    moves.push_back(made(Control::airflow, 90, 394));
    CHECK(match(moves, 400, true).size() == 4);
}

TEST_CASE("an open move is missed only when nobody can still mean it") {
    CHECK(match({}, 150)[0].judgement == MoveJudgement::waiting);
    CHECK(match({}, 195)[0].judgement == MoveJudgement::missed);
}

TEST_CASE("a move that comes before its trigger is judged once the trigger has come") {
    MadeMoves moves;
    moves.push_back(made(Control::burner, 80, 95));
    CHECK(match(moves, 98)[0].judgement == MoveJudgement::waiting);
    CHECK(match(moves, 100)[0].judgement == MoveJudgement::on_time);
}

TEST_CASE("moves are found in a control's channel: settled, dated by the first change") {
    MoveDetector detector(Control::burner);
    std::vector<MadeMove> found;
    for (int i = 0; i < 200; ++i) {
        const double t = i * 0.25;
        double level = 90;
        if (t >= 10) level = 85;  // three presses of a key, a second apart
        if (t >= 11) level = 80;
        if (t >= 12) level = 75;
        if (t >= 30) level = 75.4;  // a wobble is no move
        const auto move = detector.add({*to_milli(level), Quality::good, true}, Tick{i * 250});
        if (move) found.push_back(*move);
    }
    REQUIRE(found.size() == 1);
    CHECK(found[0].level == doctest::Approx(75));
    CHECK(found[0].at.ms == 10'000);
    CHECK(*detector.level() == doctest::Approx(75));
}

TEST_CASE("a level set minutes before its time is the planned move while it still stands") {
    MadeMoves moves;
    moves.push_back(made(Control::burner, 80, 60));
    moves.push_back(made(Control::burner, 60, 110));  // planned: at 300
    CHECK(match(moves, 250)[2].judgement == MoveJudgement::waiting);
    auto views = match(moves, 320);
    REQUIRE(views.size() == 3);
    CHECK(views[2].judgement == MoveJudgement::early);
    CHECK(*views[2].error_s == doctest::Approx(-190));
    moves.push_back(made(Control::burner, 70, 200));  // it did not stand
    views = match(moves, 320);
    CHECK(views[2].judgement == MoveJudgement::waiting);
    CHECK(views.size() == 5);
}

TEST_CASE("without a reading nobody is judged early") {
    Target target = straight_target();
    target.moves = {planned(Control::burner, 80, TriggerKind::bean_c, 150)};
    MadeMoves moves;
    moves.push_back(made(Control::burner, 80, 300));
    TriggerTimes seen, unseen;
    seen.push_back({320.0, false, false});
    unseen.push_back({320.0, false, true});
    CHECK(match_moves(target, seen, moves, Tick{0}, 315, false, {})[0].judgement == MoveJudgement::early);
    CHECK(match_moves(target, unseen, moves, Tick{0}, 315, false, {})[0].judgement == MoveJudgement::waiting);
}

TEST_CASE("a notch too far at the right moment is a wrong level, though a later move plans that level") {
    Target target = straight_target();
    target.moves = {planned(Control::burner, 75, TriggerKind::at_s, 300),
                    planned(Control::burner, 70, TriggerKind::at_s, 390)};
    TriggerTimes times;
    for (const double at_s : {300.0, 390.0}) times.push_back({at_s, true});
    MadeMoves moves;
    moves.push_back(made(Control::burner, 70, 302));
    moves.push_back(made(Control::burner, 70, 390));  // what stands in for a level that stood already
    auto views = match_moves(target, times, moves, Tick{0}, 400, false, {});
    REQUIRE(views.size() == 2);
    CHECK(views[0].judgement == MoveJudgement::wrong_level);
    CHECK(views[1].judgement == MoveJudgement::on_time);

    // But a late move to the level of a plan that is past is late, not a wrong level of what comes next.
    target.moves = {planned(Control::burner, 80, TriggerKind::at_s, 300),
                    planned(Control::burner, 60, TriggerKind::at_s, 350)};
    times.clear();
    for (const double at_s : {300.0, 350.0}) times.push_back({at_s, true});
    moves.clear();
    moves.push_back(made(Control::burner, 80, 345));
    views = match_moves(target, times, moves, Tick{0}, 360, false, {});
    REQUIRE(views.size() == 2);
    CHECK(views[0].judgement == MoveJudgement::late);
    CHECK(views[1].judgement == MoveJudgement::waiting);
}

TEST_CASE("what is turned while charging is no extra move") {
    MadeMoves moves;
    moves.push_back(made(Control::burner, 40, 3));
    moves.push_back(made(Control::burner, 45, 8));
    const auto views = match(moves, 50);
    REQUIRE(views.size() == 4);
    CHECK(views[3].made_level == 45);
}

TEST_CASE("of two planned moves seconds apart the first may be made with the second, in one turn") {
    Target target = straight_target();
    target.moves = {planned(Control::burner, 80, TriggerKind::at_s, 300),
                    planned(Control::burner, 60, TriggerKind::at_s, 303)};
    TriggerTimes times;
    for (const double at_s : {300.0, 303.0}) times.push_back({at_s, true});
    MadeMoves moves;
    moves.push_back(made(Control::burner, 60, 304));
    auto views = match_moves(target, times, moves, Tick{0}, 400, true, {});
    REQUIRE(views.size() == 2);
    CHECK(views[0].judgement == MoveJudgement::on_time);
    CHECK(views[1].judgement == MoveJudgement::on_time);
    times[1].at_s = 330;  // but not when the second was due half a minute later
    moves[0].at = Tick{330'000};
    views = match_moves(target, times, moves, Tick{0}, 400, true, {});
    CHECK(views[0].judgement == MoveJudgement::missed);
}

TEST_CASE("of two moves to about the planned level the one nearer to its time is meant") {
    Target target = straight_target();
    target.moves = {planned(Control::burner, 51, TriggerKind::at_s, 300)};
    TriggerTimes times;
    times.push_back({300.0, true});
    MadeMoves moves;
    moves.push_back(made(Control::burner, 52, 280));  // a trim on the way
    moves.push_back(made(Control::burner, 51, 303));
    const auto views = match_moves(target, times, moves, Tick{0}, 400, false, {});
    REQUIRE(views.size() == 2);
    CHECK(*views[0].error_s == doctest::Approx(3));
    CHECK(views[1].judgement == MoveJudgement::extra);
}

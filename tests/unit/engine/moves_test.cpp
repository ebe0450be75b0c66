// Planned and made moves as the engine follows them.
#include <doctest/doctest.h>

#include <cmath>

#include "bench.hpp"

using namespace drumwatch;

TEST_CASE("a planned move is prompted, tapped in where no channel reads the control, and judged") {
    CurveShape shape;
    const TargetPtr target = own_target(shape, {planned(Control::burner, 70, TriggerKind::at_s, 200),
                                                planned(Control::burner, 50, TriggerKind::bean_c, 170)});
    Bench bench(shape, target);
    const Snapshot& before = bench.until(190);
    REQUIRE(before.next_move);
    CHECK(*before.next_move->in_s == doctest::Approx(10).epsilon(0.1));
    bool prompted = false;
    for (const PromptView& prompt : before.prompts)
        prompted = prompted || prompt.kind == PromptKind::move_due;
    CHECK(prompted);
    bench.until(204);
    CHECK(bench.tap_burner(70'000) == Refusal::none);
    const Snapshot& made = bench.tick();
    CHECK(made.moves[0].judgement == MoveJudgement::on_time);
    REQUIRE(made.next_move);
    CHECK(made.next_move->planned == 1);
    const Snapshot& after = bench.until(shape.drop_s + 20);
    REQUIRE(after.last_verdict);
    CHECK(after.last_verdict->moves[1].judgement == MoveJudgement::missed);
    CHECK(after.last_verdict->verdict.disposition == Disposition::taste);
}

TEST_CASE("a tap that came late is not a late move: its time can be set right until the next charge") {
    CurveShape shape;
    const TargetPtr target = own_target(shape, {planned(Control::burner, 70, TriggerKind::at_s, 200)});
    Bench bench(shape, target);
    bench.until(232);
    CHECK(bench.tap_burner(70'000) == Refusal::none);
    CHECK(bench.tick().moves[0].judgement == MoveJudgement::late);
    CHECK(bench.engine.snapshot().moves[0].tapped);
    const Tick charge = bench.engine.snapshot().roast->charge;
    const auto retime = [&](double was_s, double at_s) {
        Command command;
        command.tick = bench.engine.snapshot().tick + 250;
        command.kind = CommandKind::retime_move;
        command.was = charge + std::llround(was_s * 1000);
        command.at = charge + std::llround(at_s * 1000);
        return bench.engine.apply(command);
    };
    const double was_s = *bench.engine.snapshot().moves[0].made_at_s;
    CHECK(retime(was_s + 30, 203) == Refusal::no_such_move);
    CHECK(retime(was_s, 900) == Refusal::in_future);
    CHECK(retime(was_s, -5) == Refusal::before_charge);
    CHECK(retime(was_s, 224) == Refusal::none);
    CHECK(*bench.tick().moves[0].error_s == doctest::Approx(24));
    const Snapshot& dropped = bench.until(shape.drop_s + 20);
    REQUIRE(dropped.last_verdict);
    CHECK(dropped.last_verdict->verdict.disposition == Disposition::taste);
    CHECK(retime(224, 203) == Refusal::none);  // and the verdict is given again
    CHECK(bench.tick().last_verdict->moves[0].judgement == MoveJudgement::on_time);
    CHECK(bench.engine.snapshot().last_verdict->verdict.disposition == Disposition::clear);
    CHECK(bench.count(EventKind::move_retimed) == 2);
}

TEST_CASE("a move read from the machine keeps its time") {
    CurveShape shape;
    Bench bench(shape, own_target(shape, {planned(Control::burner, 70, TriggerKind::at_s, 200)}));
    bench.burner_pct = 90;
    bench.until(230);
    bench.burner_pct = 70;
    const Snapshot& made = bench.until(240);
    REQUIRE(made.moves[0].judgement == MoveJudgement::late);
    CHECK_FALSE(made.moves[0].tapped);
    Command command;
    command.tick = made.tick + 250;
    command.kind = CommandKind::retime_move;
    command.was = made.roast->charge + std::llround(*made.moves[0].made_at_s * 1000);
    command.at = made.roast->charge + 200'000;
    CHECK(bench.engine.apply(command) == Refusal::no_such_move);
}

TEST_CASE("a tap is refused while a channel reads the control, and taken once that channel is silent") {
    CurveShape shape;
    Bench bench(shape, own_target(shape, {planned(Control::burner, 70, TriggerKind::at_s, 200)}));
    bench.burner_pct = 90;
    bench.until(195);
    CHECK(bench.tap_burner(70'000) == Refusal::read_by_machine);
    bench.burner_pct.reset();
    bench.until(215);  // no value for so long is stale
    CHECK(bench.tap_burner(170'000) == Refusal::over_full);
    CHECK(bench.tap_burner(70'000) == Refusal::none);
    CHECK(bench.tick().moves[0].tapped);
}

TEST_CASE("moves after a drop that is taken back are still there") {
    CurveShape shape;
    const TargetPtr target = own_target(shape, {planned(Control::burner, 70, TriggerKind::at_s, 400)});
    Bench bench(shape, target);
    bench.until(402);
    CHECK(bench.tap_burner(70'000) == Refusal::none);
    bench.tick();
    bench.tell(CommandKind::mark, Milestone::drop, 395);  // a slip of the finger
    CHECK(bench.tick().last_verdict->moves[0].judgement != MoveJudgement::on_time);
    bench.tell(CommandKind::withdraw_mark, Milestone::drop, 0);
    CHECK(bench.until(410).moves[0].judgement == MoveJudgement::on_time);
}

TEST_CASE("moving the charge does not move the instant at which a temperature was reached") {
    CurveShape shape;
    const TargetPtr target = own_target(shape, {planned(Control::burner, 70, TriggerKind::bean_c, 170)});
    Bench bench(shape, target);
    bench.until(460);
    const double before_s = *bench.engine.snapshot().moves[0].planned_at_s;
    const Tick charge = bench.engine.snapshot().roast->charge;
    CHECK(bench.tell(CommandKind::mark, Milestone::charge, 5) == Refusal::none);
    const Snapshot& after = bench.tick();
    const double moved_s = seconds_between(charge, after.roast->charge);
    CHECK(*after.moves[0].planned_at_s == doctest::Approx(before_s - moved_s));
}

TEST_CASE("a move that becomes due is dated at that very tick, whatever tick of a second that is") {
    CurveShape shape;
    for (const double level_c : {150.0, 160.0, 170.0, 171.0, 172.0, 173.0}) {
        CAPTURE(level_c);
        Bench bench(shape, own_target(shape, {planned(Control::burner, 70, TriggerKind::bean_c, level_c)}));
        bench.until(150);
        while (*bench.engine.snapshot().roast->smoothed_c < level_c) bench.tick();
        const double due_s = *bench.engine.snapshot().moves[0].planned_at_s;
        bench.until(shape.drop_s - 10);
        CHECK(due_s == *bench.engine.snapshot().moves[0].planned_at_s);
    }
}

TEST_CASE("a planned temperature that is passed while the probe is blind keeps its instant") {
    CurveShape shape;
    const TargetPtr target = own_target(shape, {planned(Control::burner, 70, TriggerKind::bean_c, 170)});
    Bench seeing(shape, target);
    seeing.until(460);
    const double true_s = *seeing.engine.snapshot().moves[0].planned_at_s;

    for (const double before_s : {4.0, 12.0, 18.0}) {
        for (const int level : {70, 40}) {
            CAPTURE(before_s);
            CAPTURE(level);
            Bench bench(shape, target);
            bench.until(true_s - before_s);
            bench.blind_until(true_s);
            CHECK(bench.tap_burner(level * 1000) == Refusal::none);
            bench.blind_until(true_s + 20 - before_s);
            if (level == 70) CHECK(bench.count(EventKind::move_judged) == 0);
            const Snapshot& after = bench.until(true_s + 40);
            REQUIRE(after.moves.size() == 1);  // neither missed nor an extra one
            CHECK(*after.moves[0].planned_at_s == doctest::Approx(true_s).epsilon(0.005));
            CHECK(after.moves[0].judgement ==
                  (level == 70 ? MoveJudgement::on_time : MoveJudgement::wrong_level));
        }
    }
}

TEST_CASE("moves counted from first crack wait for its mark and are dated by it") {
    CurveShape shape;
    Target target = *own_target(shape);
    target.milestones[static_cast<std::size_t>(Milestone::first_crack)] = TargetMilestone{500, 190.0};
    target.moves = {planned(Control::burner, 30, TriggerKind::after_first_crack_s, 20)};
    Bench bench(shape, share(target));
    const Snapshot& before = bench.until(480);
    REQUIRE(before.next_move);
    REQUIRE(before.next_move->in_s);
    CHECK(std::fabs(*before.next_move->in_s - 40) < 15);  // by the forecast
    bench.until(510);
    CHECK(bench.tell(CommandKind::mark, Milestone::first_crack, 508) == Refusal::none);
    CHECK(*bench.tick().next_move->in_s == doctest::Approx(18 - 0.5).epsilon(0.1));
    bench.until(529);
    bench.tap_burner(30'000);
    CHECK(bench.until(550).moves[0].judgement == MoveJudgement::on_time);
}

TEST_CASE("a control with a channel of its own is read: a move is dated by its first change") {
    CurveShape shape;
    const TargetPtr target = own_target(shape, {planned(Control::burner, 70, TriggerKind::at_s, 200),
                                                planned(Control::burner, 50, TriggerKind::at_s, 300)});
    Bench bench(shape, target);
    bench.burner_pct = 90;
    bench.until(203);
    bench.burner_pct = 80;  // a knob turned in two steps
    bench.tick();
    bench.burner_pct = 70;
    const Snapshot& made = bench.until(210);
    CHECK(made.moves[0].judgement == MoveJudgement::on_time);
    CHECK(std::fabs(*made.moves[0].error_s - 3) < 1.5);
    const Snapshot& missed = bench.until(420);
    CHECK(missed.moves[1].judgement == MoveJudgement::missed);
}

TEST_CASE("a level that stands already needs no move, one set minutes too early is that move, early") {
    CurveShape shape;
    const TargetPtr target = own_target(shape, {planned(Control::burner, 70, TriggerKind::at_s, 400)});
    Bench stands(shape, target);
    stands.burner_pct = 70;
    const Snapshot& kept = stands.until(420);
    CHECK(kept.moves[0].judgement == MoveJudgement::on_time);
    CHECK(kept.moves.size() == 1);

    Bench early(shape, target);
    early.burner_pct = 90;
    early.until(150);
    early.burner_pct = 70;
    const Snapshot& turned = early.until(420);
    CHECK(turned.moves.size() == 1);
    CHECK(turned.moves[0].judgement == MoveJudgement::early);
    CHECK(*turned.moves[0].error_s == doctest::Approx(-250).epsilon(0.02));
}

TEST_CASE("a target chosen in mid-roast dates what has passed already by when it passed") {
    CurveShape shape;
    const TargetPtr target = own_target(shape, {planned(Control::burner, 70, TriggerKind::bean_c, 150)});
    Bench from_start(shape, target);
    from_start.until(500);
    const double true_s = *from_start.engine.snapshot().moves[0].planned_at_s;
    Bench bench(shape);
    bench.until(490);
    CHECK_FALSE(bench.engine.snapshot().follow);
    Command choose;
    choose.tick = bench.engine.snapshot().tick + 250;
    choose.kind = CommandKind::choose_target;
    choose.target = target;
    CHECK(bench.engine.apply(choose) == Refusal::none);
    const Snapshot& now = bench.until(500);
    REQUIRE(now.follow);
    CHECK(*now.moves[0].planned_at_s == doctest::Approx(true_s));
}

TEST_CASE("the 65th move of a roast is refused, not lost in silence") {
    Bench bench;
    bench.until(100);
    for (std::size_t i = 0; i < kMaxMoves; ++i) {
        CHECK(bench.tap_burner(i % 2 == 0 ? 70'000 : 60'000) == Refusal::none);
        bench.tick();
    }
    CHECK(bench.tap_burner(50'000) == Refusal::too_many_moves);
}

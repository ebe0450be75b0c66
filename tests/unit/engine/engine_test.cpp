// The engine as a feeder drives it: frames of an invented roast (support/roast_curve.hpp), commands,
// observations.
#include <doctest/doctest.h>

#include <cmath>

#include "core/words.hpp"
#include "engine/engine.hpp"
#include "support/roast_curve.hpp"
#include "support/targets.hpp"

using namespace drumwatch;

namespace {

/// A target that is the true curve itself.
TargetPtr own_target(const CurveShape& shape) {
    Target target = straight_target();
    target.points.clear();
    for (const CurvePoint& point : true_curve(shape)) {
        const bool whole = std::fabs(point.t_s - std::round(point.t_s)) < 1e-6;
        if (point.t_s >= 0 && point.t_s <= shape.drop_s && whole)
            target.points.push_back({point.t_s, point.bean_c});
    }
    target.milestones = {};
    target.drop = Trigger{TriggerKind::at_s, shape.drop_s};
    return share(target);
}

class Bench {
  public:
    CurveShape shape;
    RoastFile file;
    std::vector<Event> events;
    std::size_t next = 0;
    Engine engine;

    explicit Bench(const CurveShape& curve = {}, TargetPtr target = nullptr)
        : shape(curve), file(roast_file(curve)), engine(begin(std::move(target), curve)) {}

    static Begin begin(TargetPtr target, const CurveShape& curve) {
        Begin begin;
        begin.settings.channels = {bean_channel()};
        begin.settings.tick_ms = std::llround(curve.step_s * 1000);
        begin.target = std::move(target);
        begin.next_roast = 7;
        return begin;
    }
    /// The next reading; `quality` other than good stands for a fault.
    const Snapshot& tick(Quality quality = Quality::good) {
        const RoastRow& row = file.rows[next++];
        Frame frame;
        frame.tick = Tick{row.elapsed_ms};
        frame.channels = 1;
        frame.samples[0] = {quality == Quality::good ? *row.values[0] : 0, quality, true};
        const Snapshot& snapshot = engine.step(frame);
        for (const Event& event : engine.take_events()) events.push_back(event);
        return snapshot;
    }
    /// Until `since_charge_s` of the true curve.
    const Snapshot& until(double since_charge_s) {
        while (next + 1 < file.rows.size() &&
               static_cast<double>(file.rows[next].elapsed_ms) / 1000 < shape.idle_s + since_charge_s) {
            tick();
        }
        return tick();
    }
    Refusal tell(CommandKind kind, Milestone milestone, double since_charge_s) {
        Command command;
        command.tick = engine.snapshot().tick + 250;
        command.kind = kind;
        command.milestone = milestone;
        command.at = Tick{std::llround((shape.idle_s + since_charge_s) * 1000)};
        return engine.apply(command);
    }
    /// A burner move tapped in, made at the newest tick.
    Refusal tap_burner(Milli level_milli) {
        Command command;
        command.tick = engine.snapshot().tick + 250;
        command.kind = CommandKind::made_move;
        command.level_milli = level_milli;
        command.at = engine.snapshot().tick;
        return engine.apply(command);
    }
    int count(EventKind kind) const {
        int n = 0;
        for (const Event& event : events) n += event.kind == kind;
        return n;
    }
    std::string journal() const {
        std::string text;
        for (const Event& event : events) text += std::to_string(event.tick.ms) + " " + words(event) + "\n";
        return text;
    }
};

}  // namespace

TEST_CASE("a roast from charge to verdict, the same at every tick rate") {
    for (const double step_s : {0.1, 0.25, 0.5, 1.0}) {
        CAPTURE(step_s);
        CurveShape shape;
        shape.step_s = step_s;
        Bench bench(shape, own_target(shape));
        CHECK_FALSE(bench.until(-1).roast);
        const Snapshot& early = bench.until(30);
        REQUIRE(early.roast);
        CHECK(early.roast->id == 7);
        CHECK(std::fabs(static_cast<double>(early.roast->charge.ms) / 1000 - shape.idle_s) <= 1.0);
        const Snapshot& late = bench.until(600);
        REQUIRE(late.follow);
        CHECK(std::fabs(*late.follow->deviation_c) < 0.7);
        CHECK(late.roast->milestones[static_cast<std::size_t>(Milestone::turning_point)]);
        CHECK(late.alarms.empty());
        const Snapshot& after = bench.until(shape.drop_s + 30);
        CHECK_FALSE(after.roast);
        REQUIRE(after.last_verdict);
        CHECK(after.last_verdict->verdict.disposition == Disposition::clear);
        CHECK(std::fabs(after.last_verdict->roast_s - shape.drop_s) <= 1.5);
        REQUIRE(after.cooling);
        CHECK(after.cooling->id == 7);
    }
}

TEST_CASE("the same frames and commands give the same journal") {
    const auto run = [] {
        Bench bench({}, own_target({}));
        bench.until(400);
        bench.tell(CommandKind::mark, Milestone::first_crack, 398);
        bench.until(700);
        return bench.journal();
    };
    const std::string first = run();
    CHECK(first == run());
    CHECK(first.find("verdict of roast 7") != std::string::npos);
}

TEST_CASE(
    "a mark stands before what is detected, can be taken back, and is refused where it makes no sense") {
    Bench bench({}, own_target({}));
    CHECK(bench.tell(CommandKind::mark, Milestone::first_crack, -bench.shape.idle_s) == Refusal::no_roast);
    bench.until(500);
    CHECK(bench.tell(CommandKind::mark, Milestone::first_crack, 900) == Refusal::in_future);
    CHECK(bench.tell(CommandKind::mark, Milestone::first_crack, -5) == Refusal::before_charge);
    CHECK(bench.tell(CommandKind::withdraw_mark, Milestone::second_crack, 0) == Refusal::not_marked);
    CHECK(bench.tell(CommandKind::mark, Milestone::first_crack, 495) == Refusal::none);
    const Snapshot& marked = bench.tick();
    const auto& crack = marked.roast->milestones[static_cast<std::size_t>(Milestone::first_crack)];
    REQUIRE(crack);
    CHECK(crack->source == MarkSource::mark);
    CHECK(crack->at.ms == std::llround((bench.shape.idle_s + 495) * 1000));
    CHECK(marked.no_forecast == NoForecast::cracked);
    CHECK(bench.tell(CommandKind::withdraw_mark, Milestone::first_crack, 0) == Refusal::none);
    CHECK(bench.tick().no_forecast != NoForecast::cracked);
}

TEST_CASE("a drop marked too early is taken back and the roast goes on") {
    Bench bench({}, own_target({}));
    bench.until(500);
    CHECK(bench.tell(CommandKind::mark, Milestone::drop, 499) == Refusal::none);
    CHECK_FALSE(bench.tick().roast);
    CHECK(bench.engine.snapshot().last_verdict);
    CHECK(bench.tell(CommandKind::withdraw_mark, Milestone::drop, 0) == Refusal::none);
    const Snapshot& again = bench.until(520);
    REQUIRE(again.roast);
    CHECK(again.roast->id == 7);
    CHECK(std::fabs(static_cast<double>(again.roast->elapsed_ms) / 1000 - 520) < 2);
    CHECK_FALSE(again.last_verdict);
    CHECK_FALSE(again.cooling);
}

TEST_CASE("a late mark after the drop judges again") {
    Bench bench({}, own_target({}));
    const Snapshot& after = bench.until(bench.shape.drop_s + 20);
    REQUIRE(after.last_verdict);
    CHECK(bench.count(EventKind::verdict_given) == 1);
    CHECK(bench.tell(CommandKind::mark, Milestone::drop, bench.shape.drop_s - 60) == Refusal::none);
    const Snapshot& again = bench.tick();
    CHECK(bench.count(EventKind::verdict_given) == 2);
    CHECK(again.last_verdict->roast_s == doctest::Approx(bench.shape.drop_s - 60).epsilon(0.01));
    CHECK(again.last_verdict->verdict.disposition !=
          Disposition::clear);  // dropped far below the target's end
}

TEST_CASE("not a charge, and a roast given up") {
    Bench bench;
    bench.until(40);
    CHECK(bench.tell(CommandKind::not_a_charge, Milestone::charge, 0) == Refusal::none);
    CHECK_FALSE(bench.tick().roast);
    CHECK(bench.count(EventKind::roast_withdrawn) == 1);
    CHECK(bench.tell(CommandKind::abort_roast, Milestone::charge, 0) == Refusal::no_roast);
    CHECK(bench.tell(CommandKind::mark, Milestone::charge, 40) == Refusal::none);
    CHECK(bench.tick().roast->id == 8);
    CHECK(bench.tell(CommandKind::abort_roast, Milestone::charge, 0) == Refusal::none);
    CHECK_FALSE(bench.tick().roast);
}

TEST_CASE("a planned move is prompted, tapped in where no channel reads the control, and judged") {
    CurveShape shape;
    Target target = *own_target(shape);
    target.moves = {planned(Control::burner, 70, TriggerKind::at_s, 200),
                    planned(Control::burner, 50, TriggerKind::bean_c, 170)};
    Bench bench(shape, share(target));
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

TEST_CASE("a dead bean probe: no number, an alarm, prompts withheld, and nothing made up") {
    Bench bench({}, own_target({}));
    bench.until(300);
    for (int i = 0; i < 20; ++i) bench.tick(Quality::open_circuit);
    const Snapshot& blind = bench.engine.snapshot();
    CHECK(blind.channel[0].quality == Quality::open_circuit);
    CHECK_FALSE(blind.roast->smoothed_c);
    CHECK_FALSE(blind.follow->deviation_c);
    REQUIRE(blind.alarms.size() == 1);
    CHECK(blind.alarms[0].rule == AlarmRule::bean_probe_fault);
    CHECK(blind.alarms[0].priority == Priority::high);
    CHECK(blind.prompts_withheld);
    CHECK(blind.sounder.pattern == Pattern::high);
    const Snapshot& back = bench.until(400);
    CHECK(back.roast->smoothed_c);
    CHECK(bench.count(EventKind::alarm_cleared) == 1);
}

TEST_CASE("a mark without a reading has no temperature and teaches nothing") {
    Bench bench({}, own_target({}));
    bench.until(500);
    for (int i = 0; i < 40; ++i) bench.tick(Quality::open_circuit);
    CHECK(bench.tell(CommandKind::mark, Milestone::first_crack, 509) == Refusal::none);
    const auto& crack = bench.tick().roast->milestones[static_cast<std::size_t>(Milestone::first_crack)];
    REQUIRE(crack);
    CHECK_FALSE(crack->bean_milli);
    bench.until(bench.shape.drop_s + 30);
    CHECK(bench.engine.lessons().roasts == 0);
}

TEST_CASE("marks stand in the order of a roast, an estimate gives way") {
    Bench bench({}, own_target({}));
    bench.until(500);
    CHECK(bench.tell(CommandKind::mark, Milestone::charge, 200) ==
          Refusal::out_of_order);  // after the turning point
    CHECK(bench.tell(CommandKind::mark, Milestone::first_crack, 490) == Refusal::none);
    CHECK(bench.tell(CommandKind::mark, Milestone::drop, 480) == Refusal::out_of_order);
    CHECK(bench.tell(CommandKind::mark, Milestone::second_crack, 495) == Refusal::none);
    CHECK(bench.tell(CommandKind::mark, Milestone::first_crack, 498) == Refusal::out_of_order);
}

TEST_CASE("each roast teaches once, by what stands of it in the end") {
    Bench bench({}, own_target({}));
    bench.until(600);
    bench.tell(CommandKind::mark, Milestone::first_crack, 500);
    bench.tell(CommandKind::mark, Milestone::drop, 599);
    bench.tick();
    CHECK(bench.engine.lessons().roasts == 1);
    bench.tell(CommandKind::withdraw_mark, Milestone::drop, 0);
    bench.tick();
    CHECK(bench.engine.lessons().roasts == 0);
    bench.tell(CommandKind::mark, Milestone::drop, 600);
    bench.tick();
    const double before_c = bench.engine.lessons().crack_c;
    CHECK(bench.engine.lessons().roasts == 1);
    bench.tell(CommandKind::mark, Milestone::first_crack, 540);  // moved after the drop
    bench.tick();
    CHECK(bench.engine.lessons().roasts == 1);
    CHECK(bench.engine.lessons().crack_c > before_c + 2);
}

TEST_CASE("a detection called false stays away, also when a mark in its place is taken back") {
    Bench bench({}, own_target({}));
    const Snapshot& after = bench.until(bench.shape.drop_s + 15);
    REQUIRE_FALSE(after.roast);  // the drop was found
    CHECK(bench.tell(CommandKind::withdraw_mark, Milestone::drop, 0) == Refusal::none);
    CHECK(bench.tick().roast);
    CHECK(bench.tell(CommandKind::mark, Milestone::drop, bench.shape.drop_s + 10) == Refusal::none);
    CHECK_FALSE(bench.tick().roast);
    CHECK(bench.tell(CommandKind::withdraw_mark, Milestone::drop, 0) == Refusal::none);
    CHECK(bench.tick().roast);
}

TEST_CASE("moves after a drop that is taken back are still there") {
    CurveShape shape;
    Target target = *own_target(shape);
    target.moves = {planned(Control::burner, 70, TriggerKind::at_s, 400)};
    Bench bench(shape, share(target));
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
    Target target = *own_target(shape);
    target.moves = {planned(Control::burner, 70, TriggerKind::bean_c, 170)};
    Bench bench(shape, share(target));
    bench.until(460);
    const double before_s = *bench.engine.snapshot().moves[0].planned_at_s;
    const Tick charge = bench.engine.snapshot().roast->charge;
    CHECK(bench.tell(CommandKind::mark, Milestone::charge, 5) == Refusal::none);
    const Snapshot& after = bench.tick();
    const double moved_s = seconds_between(charge, after.roast->charge);
    CHECK(*after.moves[0].planned_at_s == doctest::Approx(before_s - moved_s));
}

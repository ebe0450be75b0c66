// A batch's life in the engine: charged, marked, dropped, judged, taken back.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>

#include "bench.hpp"
#include "roast/forecast/learning.hpp"

using namespace drumwatch;

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

TEST_CASE("a dead bean probe: no number, an alarm, prompts withheld, and nothing made up") {
    Bench bench({}, own_target({}));
    bench.until(300);
    for (int i = 0; i < 20; ++i) bench.tick(Quality::open_circuit);
    const Snapshot& blind = bench.engine.snapshot();
    CHECK(blind.channel[0].quality == Quality::open_circuit);
    CHECK_FALSE(blind.roast->smoothed_c);
    CHECK_FALSE(blind.follow->deviation_c);
    REQUIRE(blind.alarms.size() == 4);  // what can't be judged without it is listed
    for (std::size_t i = 1; i < 4; ++i) {
        CHECK(blind.alarms[i].state == AlarmState::suppressed);
        CHECK(blind.alarms[i].suppressed_by == SuppressedBy::probe_fault);
    }
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

TEST_CASE("the next batch is charged while the last one cools, and each keeps its own") {
    CurveShape shape;
    Bench bench(shape, own_target(shape));
    bench.until(500);
    bench.tell(CommandKind::mark, Milestone::first_crack, 495);
    bench.until(shape.drop_s + shape.after_s - 1);
    CurveShape second;
    second.idle_s = 40;
    second.seed = 2;
    bench.then(second);
    const Snapshot& both = bench.until(60);
    REQUIRE(both.roast);
    CHECK(both.roast->id == 8);
    REQUIRE(both.cooling);
    CHECK(both.cooling->id == 7);
    REQUIRE(both.last_verdict);
    CHECK(both.last_verdict->verdict.roast == 7);
    CHECK_FALSE(both.roast->milestones[static_cast<std::size_t>(Milestone::first_crack)]);
    const Snapshot& after = bench.until(second.drop_s + 30);
    CHECK(after.last_verdict->verdict.roast == 8);
    CHECK(after.last_verdict->verdict.disposition == Disposition::clear);
    CHECK(after.cooling->id == 8);
}

TEST_CASE("a charge marked in the past has the temperature of then, and lies in no other roast") {
    CurveShape cold;  // nothing detects it: the drum is too cool to be charged by itself
    cold.charge_c = 75;
    Bench bench(cold);
    bench.until(8);
    REQUIRE_FALSE(bench.engine.snapshot().roast);
    CHECK(bench.tell(CommandKind::mark, Milestone::charge, -2) == Refusal::none);
    const auto& charge = bench.tick().roast->milestones[0];
    CHECK(std::fabs(static_cast<double>(*charge->bean_milli) / 1000 - 75) < 1);

    Bench two({}, own_target({}));
    two.until(two.shape.drop_s + 20);
    CHECK(two.tell(CommandKind::mark, Milestone::charge, two.shape.drop_s - 20) == Refusal::out_of_order);
    CHECK(two.tell(CommandKind::mark, Milestone::charge, two.shape.drop_s + 15) == Refusal::none);
    CHECK(two.tick().roast->id == 8);
}

TEST_CASE("a roast goes on by its own target when its drop is taken back after another was chosen") {
    CurveShape shape;
    Bench bench(shape, own_target(shape));
    bench.until(shape.drop_s + 15);
    Target other = straight_target();
    Command choose;
    choose.tick = bench.engine.snapshot().tick + 250;
    choose.kind = CommandKind::choose_target;
    choose.target = share(other);
    CHECK(bench.engine.apply(choose) == Refusal::none);
    CHECK(bench.tick().target->name == "Straight");
    bench.tell(CommandKind::withdraw_mark, Milestone::drop, 0);
    const Snapshot& again = bench.tick();
    REQUIRE(again.roast);
    CHECK(again.follow->target_c > 195);  // the first target's end
    CHECK(again.target->drop->kind == TriggerKind::at_s);
}

TEST_CASE("four marked cracks teach, each once and in order") {
    CurveShape shape;
    shape.noise_c = 0;
    shape.quantum_c = 0;
    Bench bench(shape, own_target(shape));
    std::vector<double> cracks;
    for (const double at_s : {480.0, 500.0, 515.0, 530.0}) {
        bench.until(600);
        bench.tell(CommandKind::mark, Milestone::first_crack, at_s);
        const auto& crack = bench.tick().roast->milestones[static_cast<std::size_t>(Milestone::first_crack)];
        REQUIRE(crack->bean_milli);
        cracks.push_back(static_cast<double>(*crack->bean_milli) / 1000);
        bench.until(shape.drop_s + shape.after_s - 1);
        bench.then(shape);
    }
    CHECK(bench.engine.lessons().roasts == 4);
    Lessons lessons;
    for (const double crack_c : cracks) lessons = learned(lessons, {crack_c, std::nullopt});
    CHECK(bench.engine.lessons().crack_c == doctest::Approx(lessons.crack_c));
    CHECK(bench.engine.lessons().crack_spread_c == doctest::Approx(lessons.crack_spread_c));
    CHECK(bench.engine.lessons().pace_weight > 1);  // its own target has the stretch
}

TEST_CASE("ready to charge says what is missing, each thing by itself") {
    Bench bench({}, own_target({}));
    bench.until(-30);
    CHECK(bench.engine.snapshot().ready.to_charge);
    CHECK(bench.prompts(PromptKind::ready_to_charge));
    bench.engine.observe({bench.engine.snapshot().tick + 250, Health::record_failing, 0, true});
    CHECK((bench.tick().ready.missing & kMissingRecord) != 0);
    bench.engine.observe({bench.engine.snapshot().tick + 250, Health::record_failing, 0, false});
    for (int i = 0; i < 20; ++i) bench.tick(Quality::open_circuit);
    CHECK((bench.engine.snapshot().ready.missing & kMissingBeanReading) != 0);
    CHECK_FALSE(bench.engine.snapshot().ready.to_charge);

    CurveShape cool;
    cool.charge_c = 180;
    Bench cold(cool, own_target({}));
    cold.until(-30);
    CHECK(cold.engine.snapshot().ready.missing == kMissingChargeTemperature);
    CHECK(*cold.engine.snapshot().ready.charge_c == doctest::Approx(195).epsilon(0.001));

    cold.until(30);
    REQUIRE(cold.prompts(PromptKind::charge_not_as_planned));
    const auto& prompts = cold.engine.snapshot().prompts;
    const auto said = std::find_if(prompts.begin(), prompts.end(), [](const PromptView& prompt) {
        return prompt.kind == PromptKind::charge_not_as_planned;
    });
    CHECK(words(*said, cold.engine.snapshot()) == "charged 15 °C colder than planned");
    cold.until(92);
    CHECK_FALSE(cold.prompts(PromptKind::charge_not_as_planned));
    bench.until(30);
    CHECK_FALSE(bench.prompts(PromptKind::charge_not_as_planned));

    Bench none;
    CHECK(none.until(-30).ready.missing == kMissingTarget);
    CHECK((none.until(30).ready.missing & kMissingBatchInDrum) != 0);
}

TEST_CASE("move and drop prompts are withheld while the machine overheats") {
    CurveShape hot;
    hot.heat_c = 300;
    hot.time_constant_s = 260;
    Target target = *own_target({});
    target.moves = {planned(Control::burner, 30, TriggerKind::at_s, 460)};
    Bench bench(hot, share(target));
    bench.until(450);
    REQUIRE_FALSE(bench.engine.snapshot().alarms.empty());
    CHECK(bench.engine.snapshot().alarms[0].rule == AlarmRule::bean_high_high);
    CHECK(bench.engine.snapshot().prompts_withheld);
    CHECK_FALSE(bench.prompts(PromptKind::move_due));
}

TEST_CASE("the first batch of the day and a long break are named beside a reason, never without one") {
    const auto reasons = [](std::optional<std::int64_t> idle_ms, double drop_s) {
        CurveShape shape;
        Begin begin = Bench::begin(own_target(shape), shape);
        begin.idle_ms = idle_ms;
        Bench bench(shape);
        bench.engine = Engine(begin);
        bench.until(drop_s);
        bench.tell(CommandKind::mark, Milestone::drop, drop_s);
        return bench.tick().last_verdict->verdict.reasons;
    };
    const double whole_s = CurveShape{}.drop_s - 1;
    const double short_s = whole_s - 60;  // its end temperature is off
    const std::int64_t hour_ms = 3'600'000;
    CHECK(reasons(14 * hour_ms, whole_s).empty());
    const auto morning = reasons(14 * hour_ms, short_s);
    CHECK(morning[0].calls_for == Disposition::hold);
    CHECK(morning.back().rule == VerdictRule::first_of_day);
    CHECK(morning.back().calls_for == Disposition::clear);
    const auto noon = reasons(hour_ms, short_s);
    CHECK(noon.back().rule == VerdictRule::long_break);
    CHECK(noon.back().value == doctest::Approx(61).epsilon(0.01));
    CHECK(reasons(hour_ms / 6, short_s).back().rule == VerdictRule::end_temperature);
    CHECK(reasons(std::nullopt, short_s).back().rule == VerdictRule::end_temperature);
}

TEST_CASE(
    "each sounder that fails is kept by its number, over a cut too, and a test says nothing of a state") {
    Bench bench;
    bench.tick();
    const auto observe = [&](Health health, std::uint8_t index, bool bad) -> const Snapshot& {
        bench.engine.observe({bench.engine.snapshot().tick + 250, health, index, bad});
        return bench.tick();
    };
    const std::uint32_t bit = 1u << static_cast<unsigned>(Health::sounder_failed);
    observe(Health::sounder_failed, 0, true);
    CHECK(observe(Health::sounder_failed, 3, true).failed_sounders == 9);
    CHECK(observe(Health::sounder_failed, 0, false).failed_sounders == 8);
    CHECK((bench.engine.snapshot().health_bad & bit) != 0);
    CHECK(bench.engine.carry({}).failed_sounders == 8);
    CHECK(observe(Health::sounder_failed, 3, false).failed_sounders == 0);
    CHECK((bench.engine.snapshot().health_bad & bit) == 0);
    const Snapshot& tested = observe(Health::sounder_tested, 2, true);
    CHECK(tested.failed_sounders == 0);
    CHECK(tested.health_bad == 0);
}

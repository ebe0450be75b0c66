// What the engine makes of what the curve says: marks beside detections, false charges, a roast that began
// before the recording.
#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "bench.hpp"

using namespace drumwatch;

namespace {

const Event* last_of(const Bench& bench, EventKind kind) {
    const Event* last = nullptr;
    for (const Event& event : bench.events)
        if (event.kind == kind) last = &event;
    return last;
}

}  // namespace

TEST_CASE("a detection says by what it was found and how sure that is") {
    Bench bench;
    const Snapshot& now = bench.until(200);
    REQUIRE(now.roast);
    const MilestoneAt& charge = *now.roast->milestones[0];
    CHECK(charge.why.by == FoundBy::steep_fall);
    CHECK(charge.why.confidence_percent >= 80);
    CHECK(charge.why.confidence_percent < 100);
    CHECK(words(charge.why).find("broke away and fell by") != std::string::npos);
    CHECK(bench.journal().find("broke away and fell by") != std::string::npos);
    CHECK(bench.journal().find("the lowest point, risen again by") != std::string::npos);
    CHECK(bench.tell(CommandKind::mark, Milestone::charge, 1) == Refusal::none);
    CHECK(words(bench.tick().roast->milestones[0]->why).empty());
}

TEST_CASE("mark and detection more than ten seconds apart: said once, and prompted for a while") {
    Bench bench;
    bench.until(200);
    CHECK(bench.tell(CommandKind::mark, Milestone::charge, -9) == Refusal::none);
    CHECK(bench.count(EventKind::mark_disagrees) == 0);
    CHECK(bench.tell(CommandKind::mark, Milestone::charge, -14) == Refusal::none);
    bench.tick();
    CHECK(bench.count(EventKind::mark_disagrees) == 1);
    CHECK(bench.prompts(PromptKind::mark_disagrees));
    CHECK(words(*last_of(bench, EventKind::mark_disagrees)).find("charge is marked 0:14 earlier") == 0);
    bench.until(270);
    CHECK_FALSE(bench.prompts(PromptKind::mark_disagrees));
    CHECK(bench.tell(CommandKind::mark, Milestone::turning_point, 120) == Refusal::none);
    bench.tick();
    CHECK(bench.count(EventKind::mark_disagrees) == 2);
    CHECK(words(*last_of(bench, EventKind::mark_disagrees)).find("turning point is marked 0:") == 0);
    bench.until(bench.shape.drop_s + 30);
    CHECK(bench.tell(CommandKind::mark, Milestone::drop, bench.shape.drop_s - 11.5) == Refusal::none);
    bench.tick();
    CHECK(bench.count(EventKind::mark_disagrees) == 3);
}

TEST_CASE("a charge that was marked too early is compared once the curve shows it") {
    Bench bench;
    bench.until(-20);
    CHECK(bench.tell(CommandKind::mark, Milestone::charge, -20) == Refusal::none);
    const Snapshot& now = bench.until(40);
    REQUIRE(now.roast);
    CHECK(now.roast->charge_from_mark);  // never moved
    CHECK(now.roast->elapsed_ms == doctest::Approx(60'000).epsilon(0.02));
    CHECK(bench.count(EventKind::mark_disagrees) == 1);
    CHECK(bench.tell(CommandKind::withdraw_mark, Milestone::charge, 0) == Refusal::none);
    CHECK(bench.tick().roast->elapsed_ms == doctest::Approx(40'000).epsilon(0.03));
}

TEST_CASE(
    "a charge marked minutes too early: the real one is no drop, and what the empty drum showed is "
    "forgotten") {
    CurveShape shape;
    shape.idle_s = 200;
    Bench bench(shape);
    bench.until(-150);
    CHECK(bench.tell(CommandKind::mark, Milestone::charge, -150) == Refusal::none);
    bench.until(-100);
    const Snapshot& now = bench.until(150);
    REQUIRE(now.roast);
    CHECK(now.roast->charge_from_mark);
    CHECK(bench.count(EventKind::mark_disagrees) == 1);
    CHECK(words(*last_of(bench, EventKind::mark_disagrees)).find("charge is marked 2:3") == 0);
    REQUIRE(now.roast->milestones[1]);
    CHECK(seconds_between(now.roast->charge, now.roast->milestones[1]->at) > 180);
    CHECK_FALSE(now.roast->milestones[2]);
    const Snapshot& after = bench.until(shape.drop_s + 30);
    REQUIRE(after.last_verdict);
    CHECK(after.last_verdict->roast_s == doctest::Approx(150 + shape.drop_s).epsilon(0.005));
}

TEST_CASE(
    "yellow and cracks are not marked before the curve turns, nor after the drop, and refusals name the "
    "mark") {
    Bench bench;
    bench.until(12);
    CHECK(bench.tell(CommandKind::mark, Milestone::first_crack, 11) == Refusal::not_turned);
    bench.tick();
    CHECK(words(*last_of(bench, EventKind::command_refused)) ==
          "first crack is not marked: the curve has not turned yet: it is too early for that");
    bench.until(150);
    CHECK(bench.tell(CommandKind::mark, Milestone::yellow, 149) == Refusal::none);
    bench.until(bench.shape.drop_s + 30);
    CHECK(bench.tell(CommandKind::mark, Milestone::second_crack, bench.shape.drop_s + 20) ==
          Refusal::out_of_order);
    CHECK(bench.tell(CommandKind::withdraw_mark, Milestone::second_crack, 0) == Refusal::not_marked);
    bench.tick();
    CHECK(words(*last_of(bench, EventKind::command_refused)) ==
          "second crack is not taken back: that is not marked");
}

TEST_CASE("coffee that was let out again: the charge is withdrawn with a sentence, and the next one found") {
    CurveShape shape;
    shape.drop_s = 25;
    Bench bench(shape);
    for (RoastRow& row : bench.file.rows) {  // the emptied drum is closed and comes back
        const double since_s = static_cast<double>(row.elapsed_ms) / 1000 - shape.idle_s - shape.drop_s;
        if (since_s > 0) row.values[0] = to_milli(195 - 85 * std::exp(-since_s / 20));
    }
    bench.then({});
    bench.until(-30);
    CHECK(bench.count(EventKind::roast_withdrawn) == 1);
    CHECK(words(*last_of(bench, EventKind::roast_withdrawn)).find("rose again by") != std::string::npos);
    const Snapshot& now = bench.until(100);
    REQUIRE(now.roast);
    CHECK(now.roast->id == 8);
    CHECK(std::fabs(static_cast<double>(now.roast->elapsed_ms) / 1000 - 100) < 1.5);
}

TEST_CASE(
    "a recording that begins after the charge: turning point and drop are found, the charge is not made up") {
    Bench bench({}, own_target({}));
    cut_before(bench.file, bench.shape.idle_s + 15);
    bench.shape.idle_s = -15;
    const Snapshot& now = bench.until(200);
    REQUIRE(now.roast);
    CHECK_FALSE(now.roast->milestones[0]);
    CHECK(now.roast->milestones[1]);
    CHECK(now.roast->time_lost);
    CHECK_FALSE(now.follow);
    const Snapshot& after = bench.until(bench.shape.drop_s + 30);
    REQUIRE(after.last_verdict);
    CHECK_FALSE(after.last_verdict->milestones[0]);
    CHECK(std::fabs(static_cast<double>(after.last_verdict->dropped.ms) / 1000 - 625) < 1.5);
    CHECK(after.last_verdict->verdict.disposition == Disposition::unjudged);
    REQUIRE_FALSE(after.last_verdict->verdict.reasons.empty());
    CHECK(after.last_verdict->verdict.reasons[0].rule == VerdictRule::no_charge);
}

TEST_CASE("a recording that begins in the middle of a roast has its drop, and nothing before") {
    Bench bench;
    cut_before(bench.file, bench.shape.idle_s + 300);
    bench.shape.idle_s = -300;
    const Snapshot& after = bench.until(bench.shape.drop_s + 40);
    REQUIRE(after.last_verdict);
    CHECK_FALSE(after.roast);
    CHECK_FALSE(after.last_verdict->milestones[0]);
    CHECK_FALSE(after.last_verdict->milestones[1]);
    CHECK(std::fabs(static_cast<double>(after.last_verdict->dropped.ms) / 1000 - 340) < 1.5);
}

TEST_CASE("a roast dropped before its turning point is withdrawn or dropped, never left in the drum") {
    CurveShape shape;
    shape.drop_s = 20;
    shape.after_s = 200;
    Bench bench(shape);
    for (RoastRow& row : bench.file.rows) {
        const double since_s = static_cast<double>(row.elapsed_ms) / 1000 - shape.idle_s - shape.drop_s;
        if (since_s > 0) row.values[0] = to_milli(180 - 60 * std::exp(-since_s / 25));
    }
    bench.until(shape.drop_s + 150);
    CHECK_FALSE(bench.engine.snapshot().roast);
    CHECK(bench.tell(CommandKind::mark, Milestone::drop, 400) != Refusal::none);
}

TEST_CASE(
    "a door that stands open looks like a drop: taken back with its verdict, and the true drop is found") {
    Bench bench({}, own_target({}));
    constexpr double kOpen_s = 14;
    for (RoastRow& row : bench.file.rows) {
        const double since_s = static_cast<double>(row.elapsed_ms) / 1000 - bench.shape.idle_s - 480;
        if (since_s < 0 || since_s > 200) continue;
        const double felt = 1 - std::exp(-std::fmin(since_s, kOpen_s) / bench.shape.lag_s);
        const double back = std::exp(-std::fmax(0, since_s - kOpen_s) / bench.shape.lag_s);
        row.values[0] = *row.values[0] - *to_milli(40 * felt * back);
    }
    bench.until(495);
    REQUIRE(bench.count(EventKind::verdict_given) == 1);
    CHECK_FALSE(bench.engine.snapshot().roast);
    const Snapshot& again = bench.until(600);
    CHECK(bench.count(EventKind::milestone_withdrawn) == 1);
    CHECK(words(*last_of(bench, EventKind::milestone_withdrawn)).find("drop withdrawn") == 0);
    REQUIRE(again.roast);
    CHECK(again.roast->id == 7);
    CHECK_FALSE(again.last_verdict);
    CHECK_FALSE(again.cooling);
    REQUIRE(again.follow);
    const Snapshot& after = bench.until(bench.shape.drop_s + 30);
    REQUIRE(after.last_verdict);
    CHECK(std::fabs(seconds_between(after.last_verdict->charge, after.last_verdict->dropped) -
                    bench.shape.drop_s) < 1.5);
    CHECK(bench.count(EventKind::verdict_given) == 2);
}

TEST_CASE("a drop that was tapped too early or called false is looked for again") {
    for (const bool tapped : {true, false}) {
        CAPTURE(tapped);
        Bench bench;
        if (!tapped) {  // a door that stands open for half a minute
            for (RoastRow& row : bench.file.rows) {
                const double open_s = static_cast<double>(row.elapsed_ms) / 1000 - bench.shape.idle_s - 400;
                if (open_s > 0 && open_s < 30)
                    row.values[0] = *row.values[0] - *to_milli(std::min(30.0, 6 * open_s));
            }
        }
        bench.until(tapped ? 560 : 416);
        if (tapped) CHECK(bench.tell(CommandKind::mark, Milestone::drop, 560) == Refusal::none);
        bench.tick();
        REQUIRE_FALSE(bench.engine.snapshot().roast);
        CHECK(bench.tell(CommandKind::withdraw_mark, Milestone::drop, 0) == Refusal::none);
        bench.tick();
        REQUIRE(bench.engine.snapshot().roast);
        const Snapshot& after = bench.until(bench.shape.drop_s + 25);
        REQUIRE(after.last_verdict);
        CHECK(std::fabs(seconds_between(after.last_verdict->charge, after.last_verdict->dropped) -
                        bench.shape.drop_s) < 1.5);
    }
}

TEST_CASE("an emptied drum that warms up again was dropped, though its reading crosses the line") {
    Bench bench;
    for (RoastRow& row : bench.file.rows) {
        const double since_s =
            static_cast<double>(row.elapsed_ms) / 1000 - bench.shape.idle_s - bench.shape.drop_s - 20;
        if (since_s > 0) row.values[0] = to_milli(240 - 65 * std::exp(-since_s / 12));
    }
    bench.until(bench.shape.drop_s + 58);
    CHECK(bench.count(EventKind::verdict_given) == 1);
    CHECK(bench.count(EventKind::milestone_withdrawn) == 0);
}

TEST_CASE(
    "an emptied drum a little over the limit may be charged, what falls from far above it is no charge") {
    for (const double rests_c : {236.0, 246.0, 290.0}) {
        CAPTURE(rests_c);
        CurveShape shape;
        shape.after_s = 160;
        Bench bench(shape);
        const double charged_s = shape.drop_s + 100;
        for (RoastRow& row : bench.file.rows) {
            const double t_s = static_cast<double>(row.elapsed_ms) / 1000 - shape.idle_s;
            const double since_s = t_s - charged_s;
            if (t_s < shape.drop_s) continue;
            const double warming_c = rests_c + (206 - rests_c) * std::exp(-(t_s - shape.drop_s) / 10);
            const double falling_c = 60 + (rests_c - 60) * std::exp(-since_s / 18);
            row.values[0] = to_milli(since_s < 0 ? warming_c : falling_c);
        }
        bench.until(charged_s + 50);
        std::vector<double> charges_s;
        for (const Event& event : bench.events)
            if (event.kind == EventKind::milestone_set && event.milestone == Milestone::charge)
                charges_s.push_back(static_cast<double>(event.at.ms) / 1000 - shape.idle_s);
        REQUIRE(charges_s.size() == (rests_c > 280 ? 1 : 2));
        CHECK(std::fabs(charges_s[0]) < 1);
        if (charges_s.size() > 1) CHECK(std::fabs(charges_s[1] - charged_s) < 1);
    }
}

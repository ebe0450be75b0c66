// A roast that goes on after a gap whose length nobody knows: nothing that counts seconds from the charge is
// said any more, and the verdict is unjudged unless what was seen before the gap says worse.
#include <doctest/doctest.h>

#include "bench.hpp"

using namespace drumwatch;

namespace {

const Snapshot& after_unknown_gap(Bench& bench, double before_s, double after_s) {
    bench.until(before_s);
    const Tick next = bench.engine.snapshot().tick + 250;
    bench.engine.observe({next, Health::gap_unknown, 0, true});
    // The station's time stood still while the coffee roasted on.
    const auto lost = static_cast<std::size_t>((after_s - before_s) * 4);
    const std::int64_t lost_ms = static_cast<std::int64_t>(lost) * 250;
    bench.next += lost;
    for (std::size_t i = bench.next; i < bench.file.rows.size(); ++i)
        bench.file.rows[i].elapsed_ms -= lost_ms;
    return bench.tick();
}

}  // namespace

TEST_CASE("after a gap of unknown length no deviation, forecast or next move is invented") {
    const CurveShape shape;
    Bench bench(shape, own_target(shape, {planned(Control::burner, 40, TriggerKind::at_s, 420)}));
    REQUIRE(bench.until(290).follow);
    const Snapshot& now = after_unknown_gap(bench, 300, 360);
    REQUIRE(now.roast);
    CHECK(now.roast->time_lost);
    CHECK_FALSE(now.follow);
    CHECK_FALSE(now.forecast);
    CHECK(now.no_forecast == NoForecast::time_unknown);
    CHECK_FALSE(now.next_move);
    CHECK(bench.journal().find("for how long is not known") != std::string::npos);
}

TEST_CASE("its verdict is unjudged, with the interruption as its first reason and no move held against it") {
    const CurveShape shape;
    Bench bench(shape, own_target(shape, {planned(Control::burner, 40, TriggerKind::at_s, 420)}));
    after_unknown_gap(bench, 300, 360);
    while (!bench.engine.snapshot().last_verdict && bench.next < bench.file.rows.size()) bench.tick();
    const auto& view = bench.engine.snapshot().last_verdict;
    REQUIRE(view);
    CHECK(view->verdict.disposition == Disposition::unjudged);
    REQUIRE(view->verdict.reasons.size() == 1);
    CHECK(view->verdict.reasons[0].rule == VerdictRule::interrupted);
}

TEST_CASE("what was far outside before the gap is held all the same") {
    const CurveShape shape;
    CurveShape hotter = shape;
    hotter.heat_c += 25;
    Bench bench(hotter, own_target(shape));
    after_unknown_gap(bench, 360, 400);
    while (!bench.engine.snapshot().last_verdict && bench.next < bench.file.rows.size()) bench.tick();
    REQUIRE(bench.engine.snapshot().last_verdict);
    CHECK(bench.engine.snapshot().last_verdict->verdict.disposition == Disposition::hold);
}

TEST_CASE("with nothing in the drum an unknown gap changes nothing but the journal") {
    Bench bench;
    bench.until(-30);
    bench.engine.observe({bench.engine.snapshot().tick + 250, Health::gap_unknown, 0, true});
    CHECK_FALSE(bench.tick().roast);
    REQUIRE(bench.until(100).roast);
    CHECK_FALSE(bench.engine.snapshot().roast->time_lost);
}

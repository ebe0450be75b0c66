// Moves, verdict, end temperature, drift alarm and fan against the truth of made roasts (kept_truth.hpp).
// Sites with even seeds, on which nothing was tuned; the large run is bench_verdict's. Bounds on both sides:
// too good means that the truth is no longer one of its own.
#include <doctest/doctest.h>

#include <algorithm>

#include "support/made_roasts/kept_figures.hpp"

using namespace drumwatch;

namespace {

#ifdef DRUMWATCH_SANITIZED
constexpr std::uint64_t kSites =
    4;  // sanitizers look for other things: a small sample, with room for its chance
constexpr double kChance = 0.03;
#else
constexpr std::uint64_t kSites = 30;
constexpr double kChance = 0;
#endif
constexpr int kBatches = 10;

const KeptFigures& figures() {
    static const KeptFigures measured = [] {
        KeptFigures all;
        for (std::uint64_t i = 1; i <= kSites; ++i) measure_site(2 * i, kBatches, all);
        return all;
    }();
    return measured;
}

double share(int part, int of) { return static_cast<double>(part) / std::max(of, 1); }

}  // namespace

TEST_CASE("made batches: their moves are judged as they were made") {
    const KeptFigures& got = figures();
    MESSAGE("even seeds 2 to ", 2 * kSites, ": ", got.moves_right, " of ", got.moves, " moves, ",
            got.extras_right, " of ", got.extras, " extra ones, ", got.unclear_moves, " unclear");
    CHECK(got.not_seen == 0);
    CHECK(got.moves > static_cast<int>(kSites) * 40);
    CHECK(share(got.moves_right, got.moves) > 0.98);
    CHECK(share(got.moves_right, got.moves) < 1);
    CHECK(share(got.extras_right, got.extras) > 0.94);
    CHECK(share(got.unclear_moves, got.moves) < 0.12);
}

TEST_CASE("made batches: the verdict is the true one, and never clear for hold or hold for clear") {
    const KeptFigures& got = figures();
    MESSAGE(got.right_share(), " right, ", got.close, " of ", got.batches, " too close to a limit");
    CHECK(got.right_share() > 0.985);
    CHECK(got.given(Disposition::hold, Disposition::clear) == 0);
    CHECK(got.given(Disposition::clear, Disposition::hold) == 0);
    for (const Disposition each : {Disposition::clear, Disposition::taste, Disposition::hold})
        CHECK(share(got.given(each, each), got.batches) > 0.08);  // each is common
    CHECK(got.without_reason == 0);
    CHECK(got.gaps > 0);
    CHECK(got.gaps_right == got.gaps);
    CHECK(share(got.close, got.batches) > 0.02);
    CHECK(share(got.close, got.batches) < 0.25);
    std::vector<double> off_c = got.end_off_c;
    std::sort(off_c.begin(), off_c.end());
    CHECK(off_c[off_c.size() * 95 / 100] > 0.02);
    CHECK(off_c[off_c.size() * 95 / 100] < 0.4);
}

TEST_CASE("made batches: the drift alarm comes for those far outside and leaves clear ones alone") {
    const KeptFigures& got = figures();
    MESSAGE(got.clear_drift, " of ", got.clear, " clear, ", got.far_drift, " of ", got.far, " far outside, ",
            got.clear_alarms, " alarms in clear ones");
    CHECK(share(got.clear_drift, got.clear) <= 0.02);
    CHECK(share(got.far_drift, got.far) >= 0.95);
    CHECK(share(got.clear_alarms, got.clear) <= 0.3);
}

TEST_CASE("made batches: the fan holds about eighty of a hundred, leaving the corridor is said before") {
    const KeptFigures& got = figures();
    for (const FanFigures* fan : {&got.fan_30, &got.fan_60}) {
        MESSAGE(fan->held_share(), " held, ", fan->width_c / fan->points, " degrees wide");
        CHECK(fan->held_share() > 0.75 - kChance);
        CHECK(fan->held_share() < 0.87 + kChance);
        CHECK(share(fan->above, fan->points) > 0.05 - kChance);  // neither side has it all
        CHECK(share(fan->above, fan->points) < 0.15 + kChance);
    }
    CHECK(got.fan_30.width_c / got.fan_30.points < 1.3);
    CHECK(got.fan_60.width_c / got.fan_60.points < 2.4);
    MESSAGE("left ", got.left, " times, said before ", got.left_said, "; ", got.prompts, " prompts, in vain ",
            got.prompts_vain);
    CHECK(share(got.left_said, got.left) > 0.8);
    CHECK(share(got.prompts_vain, got.prompts) < 0.6);
    CHECK(share(got.prompts_vain, got.prompts) > 0.1);
}

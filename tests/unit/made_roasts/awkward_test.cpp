// Milestones on files that mislead, with seeds that nothing was tuned on. Bounds: the bar of the trade as the
// project understands it (charge 0.5 and 1.0 s, turning point 0.6 and 1.8 s, drop 0.4 and 1.1 s; judgement,
// no source); better than the lower bounds would mean that the test looks at itself.
#include <doctest/doctest.h>

#include "support/made_roasts/milestone_score.hpp"

using namespace drumwatch;

namespace {

#ifdef DRUMWATCH_SANITIZED
constexpr std::uint64_t kSeeds = 6;
#else
constexpr std::uint64_t kSeeds = 24;
#endif

struct Bounds {
    double half_s, most_s;
};
constexpr std::array<Bounds, kScored.size()> kBounds{{{0.5, 1.0}, {0.6, 1.8}, {0.4, 1.1}}};

/// By the temperature alone a drum that was emptied for a quarter of a minute is an opened door, and a drop
/// beside a spoon may be another spoon.
bool may_lose(Awkward kind) { return kind == Awkward::emptied_rebound || kind == Awkward::samples; }

MilestoneScores scores_of(Awkward kind) {
    MilestoneScores scores;
    for (std::uint64_t seed = 2; seed <= 2 * kSeeds; seed += 2) {
        const AwkwardFile made = awkward_file(kind, seed);
        score(made.truth, rerun(made.file, {}), scores);
    }
    return scores;
}

}  // namespace

TEST_CASE("charge, turning point and drop in files that mislead: none made up, few lost, all well dated") {
    MilestoneScores all;
    for (int i = 0; i < kAwkwardKinds; ++i) {
        const MilestoneScores scores = scores_of(static_cast<Awkward>(i));
        INFO("kind ", name(static_cast<Awkward>(i)), ", even seeds up to ", 2 * kSeeds);
        for (std::size_t m = 0; m < scores.size(); ++m) {
            CAPTURE(m);
            CHECK(scores[m].phantom == 0);
            CHECK(scores[m].missed <= (may_lose(static_cast<Awkward>(i)) ? 2 : 0));
        }
        add(all, scores);
    }
    for (std::size_t m = 0; m < all.size(); ++m) {
        const double half_s = quantile_of_sizes(all[m].off_s, 0.5);
        const double most_s = quantile_of_sizes(all[m].off_s, 0.95);
        INFO("milestone ", m, ": ", half_s, " and ", most_s, " s off, missed ", all[m].missed, " of ",
             all[m].there, ", made up ", all[m].phantom);
        CHECK(half_s <= kBounds[m].half_s);
        CHECK(half_s > 0.03);
        CHECK(most_s <= kBounds[m].most_s);
        CHECK(most_s > 0.1);
        CHECK(all[m].missed <= 1 + all[m].there / (m == 2 ? 80 : 500));
        CHECK(all[m].phantom <= 1);
        CHECK(quantile_of_sizes(all[m].late_s, 0.5) < (m == 0 ? 12 : 15));
        CHECK(quantile_of_sizes(all[m].late_s, 0.5) > 1);
    }
}

TEST_CASE("awkward files are the same for a seed, and differ from kind to kind") {
    const AwkwardFile one = awkward_file(Awkward::samples, 4);
    const AwkwardFile again = awkward_file(Awkward::samples, 4);
    REQUIRE(one.file.rows.size() == again.file.rows.size());
    for (std::size_t i = 0; i < one.file.rows.size(); ++i)
        REQUIRE(one.file.rows[i].values == again.file.rows[i].values);
    CHECK_FALSE(awkward_file(Awkward::starts_in_roast, 4).truth.charge_s);
    CHECK_FALSE(awkward_file(Awkward::idle_all_day, 4).truth.drop_s);
    CHECK(awkward_file(Awkward::charged_again, 4).truth.next_charge_s);
}

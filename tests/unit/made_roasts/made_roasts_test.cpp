// The made roasts look like roasts. Bounds: judgement from ranges of H. G. Schwartzberg (2002), J. Hernandez
// et al. (2007) and M. Munchow et al. (2020), from memory: turning point 25 to 130 s and 50 to 120 degrees,
// first crack at 5 to 15 minutes, drop at 190 to 245 degrees, a rise of -2 to 45 degrees a minute from 90 s
// on.
#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <vector>

#include "core/milli.hpp"
#include "support/made_roasts/batch.hpp"

using namespace drumwatch;

namespace {

#ifdef DRUMWATCH_SANITIZED
constexpr std::uint64_t kSites = 12;
#else
constexpr std::uint64_t kSites = 60;
#endif

double median(std::vector<double> values) {
    std::sort(values.begin(), values.end());
    return values.empty() ? 0 : values[values.size() / 2];
}

/// Largest and smallest rise over 30 s of the target, in degrees a minute, from 90 s on.
void check_rise(const Target& target) {
    for (std::size_t i = 0; i + 30 < target.points.size(); ++i) {
        if (target.points[i].t_s < 90) continue;
        const double rise = 2 * (target.points[i + 30].bean_c - target.points[i].bean_c);
        CHECK(rise > -2);
        CHECK(rise < 45);
    }
}

}  // namespace

TEST_CASE("made sites and their undisturbed batches look like roasts") {
    for (std::uint64_t seed = 1; seed <= kSites; ++seed) {
        CAPTURE(seed);
        const Site site = made_site(seed);
        const BatchTruth truth = made_batch(site, {}).truth;
        CHECK(truth.turning_point_s > 25);
        CHECK(truth.turning_point_s < 130);
        CHECK(truth.turning_point_c > 50);
        CHECK(truth.turning_point_c < 120);
        CHECK(truth.crack_s > 300);
        CHECK(truth.crack_s < 900);
        CHECK(truth.crack_c > 180);
        CHECK(truth.crack_c < 215);
        CHECK(site.target.points.back().bean_c > 190);
        CHECK(site.target.points.back().bean_c < 245);
        CHECK(site.target.moves.size() >= 5);
        check_rise(site.target);
    }
}

TEST_CASE("made batches differ as batches do, and are the same for a seed") {
    std::vector<double> cracks;
    std::vector<double> late;
    std::size_t late_moves = 0;
    std::size_t moves = 0;
    for (std::uint64_t seed = 1; seed <= 20; ++seed) {
        const Site site = made_site(seed);
        const double planned_s =
            site.target.milestones[static_cast<std::size_t>(Milestone::first_crack)]->at_s;
        for (int number = 0; number < 12; ++number) {
            const MadeBatch made = made_batch(site, plan_of(site, seed, number));
            if (made.truth.crack_s > 0) cracks.push_back(std::fabs(made.truth.crack_s - planned_s));
            moves += made.truth.moves.size();
            for (const RoastRow& row : made.file.rows) {
                if (row.mark != Milestone::first_crack) continue;
                late.push_back(static_cast<double>(row.elapsed_ms) / 1000 - made.truth.charge_s -
                               made.truth.crack_s);
            }
            late_moves += made.truth.drop_s > 1400 ? 1 : 0;
        }
    }
    MESSAGE("first crack apart from the plan: median ", median(cracks), " s, largest ",
            *std::max_element(cracks.begin(), cracks.end()), " s; marks late by ", median(late), " s; ",
            moves, " moves; never cracked ", late_moves);
    CHECK(median(cracks) > 5);
    CHECK(median(cracks) < 45);
    CHECK(cracks.size() > 230);
    CHECK(late.size() > 220);
    CHECK(median(late) > 2);
    CHECK(median(late) < 4.5);
    const Site site = made_site(5);
    const MadeBatch one = made_batch(site, plan_of(site, 5, 3));
    const MadeBatch again = made_batch(made_site(5), plan_of(site, 5, 3));
    REQUIRE(one.file.rows.size() == again.file.rows.size());
    for (std::size_t i = 0; i < one.file.rows.size(); ++i)
        REQUIRE(one.file.rows[i].values == again.file.rows[i].values);
}

// Milestones and the forecast of first crack against the truth of made roasts (crack_figures.hpp), on sites
// with even seeds, on which nothing was tuned. The same run as `bench_curve 60 12 held`, whose figures
// DEVELOPERS.md holds. Bounds on both sides: too good means that the truth has leaked into it.
#include <doctest/doctest.h>

#include <string>

#include "support/made_roasts/crack_figures.hpp"
#include "support/made_roasts/site.hpp"

using namespace drumwatch;

namespace {

#ifdef DRUMWATCH_SANITIZED
constexpr std::uint64_t kSites =
    6;  // sanitizers look for other things: a small sample, with room for its chance
constexpr std::uint64_t kSteadySites = 12;
constexpr double kRoom = 1.5;
#else
constexpr std::uint64_t kSites = 60;
constexpr std::uint64_t kSteadySites = 480;
constexpr double kRoom = 1;
#endif
constexpr int kBatches = 12;

const CrackFigures& figures() {
    static const CrackFigures measured = [] {
        CrackFigures all;
        for (std::uint64_t i = 1; i <= kSites; ++i) measure_cracks(2 * i, kBatches, all);
        return all;
    }();
    return measured;
}

/// Of more sites those whose crack temperature scatters little, as `bench_curve 480 12 held
/// 1.4`. Errors in seconds are mostly that scatter's, and what they may be presupposes a floor of 8.4 s.
constexpr double kMostSpread_c = 1.4;
const CrackFigures& steady_sites() {
    static const CrackFigures measured = [] {
        CrackFigures steady;
        for (std::uint64_t i = 1; i <= kSteadySites; ++i)
            if (made_site(2 * i).crack_spread_c <= kMostSpread_c) measure_cracks(2 * i, kBatches, steady);
        return steady;
    }();
    return measured;
}

}  // namespace

TEST_CASE("made batches: charge, turning point and drop are found when they happened") {
    const CrackFigures& got = figures();
    REQUIRE(got.batches == static_cast<int>(kSites) * kBatches);
    const double median_s[] = {0.5, 0.6, 0.4};
    const double most_s[] = {1.0, 1.8, 1.1};
    for (std::size_t i = 0; i < got.milestones.size(); ++i) {
        const MilestoneFigures& milestone = got.milestones[i];
        const std::string name = milestone.name;
        CAPTURE(name);
        MESSAGE(size_quantile(milestone.off_s, 0.5), " s, 95 % ", size_quantile(milestone.off_s, 0.95), " s");
        CHECK(milestone.missed <= 1);
        CHECK(size_quantile(milestone.off_s, 0.5) > 0.02);
        CHECK(size_quantile(milestone.off_s, 0.5) <= median_s[i]);
        CHECK(size_quantile(milestone.off_s, 0.95) > 0.1);
        CHECK(size_quantile(milestone.off_s, 0.95) <= most_s[i]);
    }
}

TEST_CASE("made batches: first crack is forecast near the floor, without bias") {
    const CrackFigures& got = figures();
    const double of_floor[] = {1.24, 1.14, 1.01, 0.98};
    for (std::size_t i = 0; i < got.leads.size(); ++i) {
        const LeadFigures& lead = got.leads[i];
        CAPTURE(lead.before_s);
        MESSAGE(mean_size(lead.error_s), " s, ", lead.of_floor(), " of the floor, bias ", lead.bias_s());
        CHECK(lead.error_s.size() > kSites * kBatches * 9 / 10);
        CHECK(lead.of_floor() <= of_floor[i] * kRoom);
        CHECK(lead.of_floor() > 0.8 / kRoom);
        CHECK(lead.of_floor() < mean_size(lead.plain_s) / mean_size(lead.floor_s) * kRoom);
        CHECK(lead.bias_s() < 2 * kRoom);
        CHECK(lead.bias_s() > -2 * kRoom);
        CHECK(lead.none <= static_cast<int>(kSites) * kBatches / 100);
    }
}

TEST_CASE("made batches: the interval of the forecast holds eighty of a hundred marks") {
    const CrackFigures& got = figures();
    for (const LeadFigures& lead : got.leads) {
        CAPTURE(lead.before_s);
        const double of_floor = lead.mean_width_s() / mean_size(lead.floor_s);
        MESSAGE(lead.covered_share(), " held, ", lead.mean_width_s(), " s wide, ", of_floor, " floors");
        CHECK(lead.covered_share() >= 0.75 / kRoom);
        CHECK(lead.covered_share() <= (kRoom > 1 ? 1 : 0.87));
        CHECK(of_floor > 2.5 / kRoom);
        CHECK(of_floor < 4.2 * kRoom);
    }
}

TEST_CASE("made batches: where cracks scatter little, errors and intervals in seconds") {
    const CrackFigures& got = steady_sites();
    REQUIRE(got.batches > static_cast<int>(kSteadySites) * kBatches / 2);
    const double of_floor[] = {1.24, 1.14, 1.01, 0.98};
    const double nine_in_ten_s[] = {21.5, 19.5, 18, 17};
    const double width_s[] = {33, 31, 29, 28};
    for (std::size_t i = 0; i < got.leads.size(); ++i) {
        const LeadFigures& lead = got.leads[i];
        CAPTURE(lead.before_s);
        const double p90_s = size_quantile(lead.error_s, 0.9);
        MESSAGE(lead.of_floor(), " of the floor, ", p90_s, " s, ", lead.covered_share(), " held, ",
                lead.mean_width_s(), " s wide");
        CHECK(mean_size(lead.floor_s) > 8.2 / kRoom);
        CHECK(mean_size(lead.floor_s) < 8.6 * kRoom);
        CHECK(lead.of_floor() <= of_floor[i] * kRoom);
        CHECK(lead.of_floor() > 0.8 / kRoom);
        CHECK(p90_s <= nine_in_ten_s[i] * kRoom);
        CHECK(p90_s > 11 / kRoom);
        CHECK(lead.covered_share() >= 0.75 / kRoom);
        CHECK(lead.covered_share() <= (kRoom > 1 ? 1 : 0.87));
        CHECK(lead.mean_width_s() <= width_s[i] * kRoom);
        CHECK(lead.mean_width_s() > 20 / kRoom);
    }
}

TEST_CASE("made batches: the forecast does not jump about") {
    const CrackFigures& got = figures();
    MESSAGE(size_quantile(got.moved, 0.5), " s a second, ", size_quantile(got.changed_s, 0.95), " s in 10 s");
    CHECK(size_quantile(got.moved, 0.5) <= 0.24 * kRoom);
    CHECK(size_quantile(got.moved, 0.5) > 0.05);
    CHECK(size_quantile(got.changed_s, 0.95) <= 3.5 * kRoom);
    CHECK(size_quantile(got.changed_s, 0.95) > 0.5);
}

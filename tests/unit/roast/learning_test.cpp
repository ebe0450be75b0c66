#include "roast/forecast/learning.hpp"

#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "support/random.hpp"
#include "support/targets.hpp"

using namespace drumwatch;

namespace {
Lessons taught_by(const std::vector<double>& cracks_c) {
    Lessons lessons;
    for (const double crack_c : cracks_c) lessons = learned(lessons, {crack_c, std::nullopt});
    return lessons;
}
constexpr double kKept = 0.87;
}  // namespace

TEST_CASE("mean and spread are the weighted ones, each roast counting 0.87 of the next") {
    const std::vector<double> cracks_c{196.2, 197.9, 195.8, 198.4, 197.1};
    double weights = 0, mean = 0, squares = 0;
    for (std::size_t i = 0; i < cracks_c.size(); ++i) {
        const double weight = std::pow(kKept, static_cast<double>(cracks_c.size() - 1 - i));
        weights += weight;
        mean += weight * cracks_c[i];
    }
    mean /= weights;
    for (std::size_t i = 0; i < cracks_c.size(); ++i)
        squares += std::pow(kKept, static_cast<double>(cracks_c.size() - 1 - i)) * (cracks_c[i] - mean) *
                   (cracks_c[i] - mean);
    const Lessons lessons = taught_by(cracks_c);
    CHECK(lessons.roasts == 5);
    CHECK(lessons.weight == doctest::Approx(weights));
    CHECK(lessons.crack_c == doctest::Approx(mean));
    CHECK(lessons.crack_spread_c == doctest::Approx(std::sqrt(squares / (weights - 1))).epsilon(0.03));
}

TEST_CASE("one wild mark does not ruin what is known") {
    const Lessons before = taught_by({197, 197.5, 196.5, 197.2, 196.8});
    const Lessons after = learned(before, {160, std::nullopt});
    CHECK(before.crack_c - after.crack_c < 1);
    CHECK(before.crack_c - after.crack_c > 0.5);
    Lessons later = after;
    for (int i = 0; i < 8; ++i) later = learned(later, {197, std::nullopt});
    CHECK(later.crack_c == doctest::Approx(197).epsilon(0.002));
}

TEST_CASE("it follows a drift, as a mean of all would not") {
    TestRandom random(11);
    std::vector<double> cracks_c;
    double sum = 0;
    for (int i = 0; i < 60; ++i) {
        cracks_c.push_back(195 + 0.05 * i + 1.2 * random.normal());
        sum += cracks_c.back();
    }
    const double now_c = 195 + 0.05 * 59;
    CHECK(std::fabs(taught_by(cracks_c).crack_c - now_c) < 1);
    CHECK(std::fabs(sum / 60 - now_c) > 1);
}

TEST_CASE("the pace compares the same stretch of both curves") {
    const TargetCurve curve(share(straight_target()));  // 150 C at 410 s, 188 C at 600 s
    CHECK(*pace_of(curve, {410, 150, 600, 188}) == doctest::Approx(0));
    CHECK(*pace_of(curve, {400, 150, 609, 188}) == doctest::Approx(std::log(209.0 / 190)));
    CHECK_FALSE(pace_of(curve, {560, 180, 600, 188}));  // too short to tell
    CHECK_FALSE(pace_of(curve, {410, 60, 600, 188}));   // below the target's turning point
}

TEST_CASE("only a marked crack with a reading teaches") {
    const TargetCurve curve(share(straight_target()));
    MilestoneSet set{};
    set[0] = MilestoneAt{Tick{10'000}, to_milli(200), MarkSource::detected};
    set[static_cast<std::size_t>(Milestone::yellow)] =
        MilestoneAt{Tick{420'000}, to_milli(150), MarkSource::detected};
    auto& crack = set[static_cast<std::size_t>(Milestone::first_crack)];
    CHECK_FALSE(lesson_of(set, &curve));
    crack = MilestoneAt{Tick{610'000}, to_milli(188), MarkSource::detected};
    CHECK_FALSE(lesson_of(set, &curve));
    crack = MilestoneAt{Tick{610'000}, std::nullopt, MarkSource::mark};
    CHECK_FALSE(lesson_of(set, &curve));
    crack = MilestoneAt{Tick{610'000}, to_milli(188), MarkSource::mark};
    REQUIRE(lesson_of(set, &curve));
    CHECK(lesson_of(set, &curve)->crack_c == doctest::Approx(188));
    CHECK(*lesson_of(set, &curve)->pace == doctest::Approx(0));
    CHECK_FALSE(lesson_of(set, nullptr)->pace);
    // Far from the target's 188 C: a first mark has nothing else to be held against.
    crack = MilestoneAt{Tick{410'000}, to_milli(145), MarkSource::mark};
    CHECK(lesson_of(set, &curve)->crack_c == doctest::Approx(178));
    CHECK(lesson_of(set, nullptr)->crack_c == doctest::Approx(145));
}

TEST_CASE("a new lot or a changed probe makes it unsure again") {
    Lessons lessons = taught_by({197, 197.5, 196.5, 197.2, 196.8});
    const Lessons doubtful = doubted(lessons);
    CHECK(doubtful.crack_c == lessons.crack_c);
    const Lessons next = learned(doubtful, {200, std::nullopt});
    CHECK(next.crack_c > 198.9);
    CHECK(learned(lessons, {200, std::nullopt}).crack_c < 198);
}

// The figures of a backtest against numbers worked by hand and against tables.
#include "backtest/figures.hpp"

#include <doctest/doctest.h>

#include <cmath>

#include "backtest/summary.hpp"

using namespace drumwatch;

TEST_CASE("a quantile lies straight between its neighbours in order") {
    CHECK_FALSE(quantile({}, 0.5));
    CHECK(*quantile({7}, 0.9) == 7);
    CHECK(*quantile({4, 1, 3, 2}, 0.5) == doctest::Approx(2.5));
    // Place 0.9 x 10 = 9 of 0 to 10.
    CHECK(*quantile({10, 9, 8, 7, 6, 5, 4, 3, 2, 1, 0}, 0.9) == doctest::Approx(9));
    // Place 0.9 x 4 = 3.6: 40 + 0.6 x 60.
    CHECK(*quantile({10, 20, 30, 40, 100}, 0.9) == doctest::Approx(76));
    CHECK(*quantile({1, 2, 3}, 0) == 1);
    CHECK(*quantile({1, 2, 3}, 1) == 3);
}

TEST_CASE("mean error, bias and 90th percentile by hand") {
    ErrorFigures figures;
    for (const double error_s : {-10.0, 4.0, 12.0, -2.0}) figures.add(error_s);
    figures.add(std::optional<double>());
    CHECK(figures.count() == 4);
    CHECK(figures.without() == 1);
    CHECK(*figures.mean_error() == doctest::Approx(7));
    CHECK(*figures.bias() == doctest::Approx(1));
    // Sizes 2, 4, 10, 12; place 2.7: 10 + 0.7 x 2.
    CHECK(*figures.error_quantile(0.9) == doctest::Approx(11.4));
    CHECK_FALSE(ErrorFigures().mean_error());
    CHECK_FALSE(ErrorFigures().bias());
}

TEST_CASE("an interval holds what lies on its limits") {
    IntervalFigures figures;
    figures.add(-5, 5, 0);
    figures.add(0, 8, 0);
    figures.add(-8, 0, 0);
    figures.add(1, 9, 0);
    CHECK(figures.held() == 3);
    CHECK(*figures.share() == doctest::Approx(0.75));
    CHECK(*figures.mean_width() == doctest::Approx((10 + 8 + 8 + 8) / 4.0));
}

TEST_CASE("what chance does to the coverage is the binomial's 95 in 100") {
    // Sums of 20 trials of 0.8, any table of the binomial distribution (from memory): P(at most 11) = 0.0100,
    // P(at most 12) = 0.0321, P(at most 19) = 0.9885, so P(20) = 0.0115.
    CHECK(chance_range(20, 0.8).low == 12);
    CHECK(chance_range(20, 0.8).high == 19);
    // Ten throws of a coin: P(at most 1) = 11/1024 = 0.0107, P(at most 2) = 56/1024 = 0.0547.
    CHECK(chance_range(10, 0.5).low == 2);
    CHECK(chance_range(10, 0.5).high == 8);
    CHECK(chance_range(0, 0.8).high == 0);
    // Many: near 0.8 n -+ 1.96 sqrt(0.16 n), the normal approximation: 16000 -+ 110.9.
    const ChanceRange many = chance_range(20'000, 0.8);
    CHECK(std::fabs(static_cast<double>(many.low) - 15'889) < 3);
    CHECK(std::fabs(static_cast<double>(many.high) - 16'111) < 3);
}

TEST_CASE("steadiness counts the changes from second to second and over ten seconds") {
    constexpr double kCrack_s = 500;
    std::vector<ForecastInstant> right, retreating, one_jump;
    for (int s = 250; s <= 500; ++s) {
        right.push_back({s * 1.0, 500});
        retreating.push_back({s * 1.0, s + 180.0});
        one_jump.push_back({s * 1.0, s < 400 ? 500.0 : 518.0});
    }
    SteadinessFigures still, away, jump;
    still.add(right, kCrack_s);
    CHECK(*still.movement() == 0);
    CHECK(*still.change_in_10_s() == 0);
    away.add(retreating, kCrack_s);
    CHECK(*away.movement() == doctest::Approx(1));
    CHECK(*away.change_in_10_s() == doctest::Approx(10));
    jump.add(one_jump, kCrack_s);
    CHECK(*jump.movement() == doctest::Approx(18.0 / 180));
    // 171 pairs of ten seconds, ten of them over the jump: 5.8 %, so the 95th percentile is the jump.
    CHECK(*jump.change_in_10_s() == doctest::Approx(18));
    SteadinessFigures none;
    none.add({right.begin(), right.begin() + 100}, kCrack_s);  // 30 s of the last 180 only
    CHECK_FALSE(none.movement());
    CHECK(none.roasts() == 0);
}

TEST_CASE("a detected milestone is missed, far off, or counted by its distance") {
    MilestoneFigures figures;
    figures.add(std::nullopt, 100);
    figures.add(120, 100);
    figures.add(101, 100);
    figures.add(97, 100);
    CHECK(figures.marked == 4);
    CHECK(figures.missed == 1);
    CHECK(figures.far == 1);
    CHECK(*figures.error.bias() == doctest::Approx(-1));
    CHECK(*figures.error.error_quantile(0.5) == doctest::Approx(2));
}

TEST_CASE("the verdicts' table agrees on its diagonal") {
    VerdictFigures verdicts;
    verdicts.table[0] = {8, 1, 0, 0};
    verdicts.table[1] = {1, 4, 1, 0};
    verdicts.table[2] = {0, 0, 3, 1};
    CHECK(verdicts.stated() == 19);
    CHECK(verdicts.agree() == 15);
}

// Robust estimators against numbers worked by hand; sources beside each.
#include <doctest/doctest.h>

#include "roast/target/robust.hpp"
#include "support/random.hpp"

using namespace drumwatch;

TEST_CASE("median: by definition, worked by hand") {
    CHECK(median({}) == 0);
    CHECK(median({3}) == 3);
    CHECK(median({4, 1}) == 2.5);
    CHECK(median({9, 1, 5}) == 5);
    CHECK(median({1, 1, 2, 2, 4, 6, 9}) == 2);
}

// The median absolute deviation of {1, 1, 2, 2, 4, 6, 9} is 1: deviations from the median 2 are
// 1, 1, 0, 0, 2, 4, 7, in order 0, 0, 1, 1, 2, 4, 7 (a worked example common in textbooks, from memory;
// reckoned again by hand here). Times 1.4826 = 1 / 0.6745, the normal law's upper quartile (any table), and
// 1.140 for seven values (Croux and Rousseeuw 1992, from memory).
TEST_CASE("robust spread: the worked example, and no move for one wild value") {
    CHECK(robust_spread({1, 1, 2, 2, 4, 6, 9}) == doctest::Approx(1.4826 * 1.140));
    CHECK(robust_spread({1, 1, 2, 2, 4, 6, 9000}) == doctest::Approx(1.4826 * 1.140));
    CHECK(robust_spread({10, 14}) == doctest::Approx(1.4826 * 1.196 * 2));
    CHECK(robust_spread({5}) == 0);
    CHECK(robust_spread({7, 7, 7}) == 0);
}

// What the factors are for: the mean over many small samples of a normal law is its standard deviation.
TEST_CASE("robust spread: unbiased for three to nine normal values") {
    TestRandom random(5);
    for (int count = 3; count <= 9; ++count) {
        CAPTURE(count);
        double sum = 0;
        constexpr int kSamples = 20'000;
        for (int i = 0; i < kSamples; ++i) {
            std::vector<double> values;
            for (int k = 0; k < count; ++k) values.push_back(100 + 2 * random.normal());
            sum += robust_spread(values) / kSamples;
        }
        CHECK(sum > 2 * 0.97);
        CHECK(sum < 2 * 1.03);
    }
}

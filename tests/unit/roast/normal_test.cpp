#include "roast/forecast/normal.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "support/random.hpp"

using namespace drumwatch;

TEST_CASE("quantiles and shares of the normal distribution by the tables") {
    // NIST/SEMATECH e-Handbook of Statistical Methods, table of the cumulative normal distribution and of
    // critical values, from memory.
    const std::pair<double, double> table[] = {{0.5, 0},       {0.9, 1.2816},  {0.95, 1.6449},
                                               {0.975, 1.96},  {0.99, 2.3263}, {0.995, 2.5758},
                                               {0.1, -1.2816}, {0.025, -1.96}, {0.999, 3.0902}};
    for (const auto& [share, z] : table) {
        CAPTURE(share);
        CHECK(std::fabs(normal_quantile(share) - z) < 5e-4);  // the formula's stated error
        CHECK(std::fabs(normal_share(z) - share) < 2e-5);
    }
}

TEST_CASE("cut off from below: against draws, and never below the cut") {
    TestRandom random(5);
    for (const double cut : {-3.0, -1.0, 0.0, 1.0, 1.5}) {
        CAPTURE(cut);
        std::vector<double> above;
        for (int i = 0; i < 200'000; ++i) {
            const double z = random.normal();
            if (z > cut) above.push_back(z);
        }
        std::sort(above.begin(), above.end());
        for (const double share : {0.1, 0.5, 0.9}) {
            const double drawn = above[static_cast<std::size_t>(share * static_cast<double>(above.size()))];
            CHECK(std::fabs(quantile_above(cut, share) - drawn) < 0.03);
        }
    }
    for (double cut = -8; cut < 12; cut += 0.25) {
        CHECK(quantile_above(cut, 0.1) >= cut);
        CHECK(quantile_above(cut, 0.9) >= quantile_above(cut, 0.1));
        CHECK(std::isfinite(quantile_above(cut, 0.9)));
    }
}

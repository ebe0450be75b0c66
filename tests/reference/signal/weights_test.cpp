// Weights of smoothing and differentiating polynomials, as published: A. Savitzky and M. J. E. Golay,
// Analytical Chemistry 36 (1964) 1627, as corrected by J. Steinier, Y. Termonia and J. Deltour, Analytical
// Chemistry 44 (1972) 1906; at the end of the window: P. A. Gorry, Analytical Chemistry 62 (1990) 570. All of
// the tables are from memory.
#include <doctest/doctest.h>

#include <cmath>
#include <vector>

#include "bench/polynomial_end.hpp"
#include "core/line_fit.hpp"
#include "roast/signal/signal.hpp"

using namespace drumwatch;

namespace {

struct Published {
    int degree;
    int derivative;
    bool at_end;
    double divisor;
    std::vector<double> weights;
};

const std::vector<Published> kPublished = {
    // Savitzky and Golay: smoothing, quadratic (and cubic, the same)
    {2, 0, false, 35, {-3, 12, 17, 12, -3}},
    {3, 0, false, 35, {-3, 12, 17, 12, -3}},
    {2, 0, false, 21, {-2, 3, 6, 7, 6, 3, -2}},
    {2, 0, false, 231, {-21, 14, 39, 54, 59, 54, 39, 14, -21}},
    {2, 0, false, 429, {-36, 9, 44, 69, 84, 89, 84, 69, 44, 9, -36}},
    // first derivative, quadratic (and linear, the same)
    {2, 1, false, 10, {-2, -1, 0, 1, 2}},
    {1, 1, false, 10, {-2, -1, 0, 1, 2}},
    {2, 1, false, 28, {-3, -2, -1, 0, 1, 2, 3}},
    {2, 1, false, 60, {-4, -3, -2, -1, 0, 1, 2, 3, 4}},
    // first derivative, cubic (and quartic, the same)
    {3, 1, false, 12, {1, -8, 0, 8, -1}},
    {4, 1, false, 12, {1, -8, 0, 8, -1}},
    {3, 1, false, 252, {22, -67, -58, 0, 58, 67, -22}},
    // second derivative, quadratic
    {2, 2, false, 7, {2, -1, -2, -1, 2}},
    {2, 2, false, 42, {5, 0, -3, -4, -3, 0, 5}},
    // Gorry: at the last point; smoothing linear and quadratic, first derivative quadratic
    {1, 0, true, 5, {-1, 0, 1, 2, 3}},
    {2, 0, true, 35, {3, -5, -3, 9, 31}},
    {2, 1, true, 70, {26, -27, -40, -13, 54}},
};

/// What a line fit makes of a 1 at `place` among zeros at 1 s each, the last at 0.
LineFit impulse(std::size_t place, std::size_t points) {
    LineFit fit;
    for (std::size_t i = 0; i < points; ++i)
        fit.add((static_cast<std::int64_t>(i) - static_cast<std::int64_t>(points) + 1) * 1'000,
                i == place ? 1'000 : 0);
    return fit;
}

}  // namespace

TEST_CASE("the bench's polynomials have the published weights") {
    for (const Published& table : kPublished) {
        CAPTURE(table.degree);
        CAPTURE(table.derivative);
        CAPTURE(table.divisor);
        std::vector<double> times_s;
        for (std::size_t i = 0; i < table.weights.size(); ++i) times_s.push_back(static_cast<double>(i));
        const double at_s = table.at_end ? times_s.back() : times_s.back() / 2;
        const auto weights = polynomial_weights(times_s, table.degree, table.derivative, at_s);
        for (std::size_t i = 0; i < weights.size(); ++i)
            CHECK(weights[i] == doctest::Approx(table.weights[i] / table.divisor).epsilon(1e-9).scale(1));
    }
}

TEST_CASE("the line fit has the published weights of a straight line, in the middle and at its end") {
    const std::vector<double> slope = {-2, -1, 0, 1, 2};  // over 10
    const std::vector<double> end = {-1, 0, 1, 2, 3};     // over 5
    for (std::size_t i = 0; i < 5; ++i) {
        CHECK(impulse(i, 5).per_second() == doctest::Approx(slope[i] / 10).scale(1));
        CHECK(impulse(i, 5).value_at(0) == doctest::Approx(end[i] / 5).scale(1));
        CHECK(impulse(i, 5).value_at(-2'000) == doctest::Approx(1.0 / 5).scale(1));
    }
}

TEST_CASE("the smoother at one reading a second differentiates with the published weights of 11 points") {
    for (int place = 0; place < 11; ++place) {
        Smoother smoother;
        for (int i = 0; i < 21; ++i)
            smoother.add(Tick{i * 1'000}, i == 10 + place ? 101'000 : 100'000);  // within what is no spike
        const auto line = smoother.at(Tick{20'000});
        REQUIRE(line);
        CHECK(line->per_second == doctest::Approx((place - 5) / 110.0).scale(1));  // -5 to 5 over 110
    }
}

TEST_CASE("noise of the smoother's line as theory has it, in the middle, at the end and of the slope") {
    // Any text on regression: 1 / n, (4 n - 2) / (n (n + 1)) and 12 / (n (n^2 - 1)) are the variances.
    for (const int n : {5, 11, 21, 41, 101}) {
        CAPTURE(n);
        LineFit fit;
        for (int i = 0; i < n; ++i) fit.add((i - n + 1) * 1'000, i % 7);
        const double m = n;
        CHECK(fit.value_noise(-(n - 1) * 500) == doctest::Approx(std::sqrt(1 / m)));
        CHECK(fit.value_noise(0) == doctest::Approx(std::sqrt((4 * m - 2) / (m * (m + 1)))));
        CHECK(fit.slope_noise() == doctest::Approx(std::sqrt(12 / (m * (m * m - 1)))));
    }
}

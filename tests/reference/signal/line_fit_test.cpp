// The one line fit that the smoother uses (core/line_fit.hpp) against certified values and against GNU
// Octave.
//
// norris.csv: NIST Statistical Reference Datasets, linear regression, "Norris" (calibration of ozone
// monitors, 36 observations), with its certified values. Data and values are from memory; that the certified
// values come out of the data to every digit that doubles carry is the proof of both.
#include <doctest/doctest.h>

#include <cmath>
#include <fstream>
#include <string>
#include <vector>

#include "core/line_fit.hpp"
#include "core/milli.hpp"
#include "support/csv_rows.hpp"

using namespace drumwatch;

namespace {

struct Norris {
    LineFit fit;
    double residual_deviation = 0;
};

/// x in the place of milliseconds, y in that of thousandths: whole numbers, as the data have one decimal.
Norris norris() {
    const auto rows = csv_rows(DATA_DIR "/norris.csv");
    REQUIRE(rows.size() == 36);
    Norris result;
    const auto milli = [](const std::string& text) { return *to_milli(std::stod(text)); };
    for (const auto& row : rows) result.fit.add(milli(row.at(1)), milli(row.at(0)));
    double squares = 0;
    for (const auto& row : rows)
        squares += std::pow(std::stod(row.at(0)) - result.fit.value_at(milli(row.at(1))), 2);
    result.residual_deviation = std::sqrt(squares / 34);
    return result;
}

}  // namespace

TEST_CASE("the line fit gives NIST's certified values of Norris") {
    const Norris data = norris();
    CHECK(data.fit.count() == 36);
    CHECK(data.fit.value_at(0) == doctest::Approx(-0.262323073774029).epsilon(1e-11));
    CHECK(data.fit.per_second() == doctest::Approx(1.00211681802045).epsilon(1e-14));
    CHECK(data.residual_deviation == doctest::Approx(0.884796396144373).epsilon(1e-13));
    // Certified standard deviations of the estimates: what the noise gains are for.
    CHECK(data.residual_deviation * data.fit.value_noise(0) ==
          doctest::Approx(0.232818234301152).epsilon(1e-13));
    CHECK(data.residual_deviation * data.fit.slope_noise() ==
          doctest::Approx(0.429796848199937e-03).epsilon(1e-13));
}

TEST_CASE("points that were added and removed again, and a moved origin, leave the sums as they were") {
    const Norris plain = norris();
    LineFit moved = plain.fit;
    for (int i = 1; i <= 1000; ++i) moved.add(-i * 17, i * 31);
    moved.move_origin(5'000);
    for (int i = 1; i <= 1000; ++i) moved.remove(-i * 17 - 5'000, i * 31);
    CHECK(moved.per_second() == plain.fit.per_second());
    CHECK(moved.value_at(-5'000) == doctest::Approx(plain.fit.value_at(0)).epsilon(1e-11));
    moved.move_origin(-5'000);
    CHECK(moved.value_at(0) == plain.fit.value_at(0));
}

TEST_CASE("the line fit at uneven times as GNU Octave has it") {
    const auto rows = csv_rows(DATA_DIR "/line_fit.csv");  // by line_fit.m, Octave 7.3
    REQUIRE(rows.size() == 12);
    for (const auto& row : rows) {
        const auto number = [&](std::size_t column) { return std::stod(row.at(column)); };
        const auto c = static_cast<std::int64_t>(number(0));
        const auto n = static_cast<std::int64_t>(number(1));
        CAPTURE(c);
        LineFit fit;
        for (std::int64_t i = 0; i < n; ++i) {
            if (i > 0) fit.move_origin(100 + 7919 * i * c % 31 * 30);
            fit.add(0, 150'000 + 4 * i * c + (104'729 * i * c + 13 * i * i) % 601 - 300);
        }
        CHECK(fit.value_at(0) == doctest::Approx(number(2)).epsilon(1e-12));
        CHECK(fit.value_at(1'750) == doctest::Approx(number(3)).epsilon(1e-12));
        CHECK(fit.per_second() == doctest::Approx(number(4)).epsilon(1e-10));
        CHECK(fit.value_noise(0) == doctest::Approx(number(5)).epsilon(1e-11));
        CHECK(fit.value_noise(1'750) == doctest::Approx(number(6)).epsilon(1e-11));
        CHECK(fit.slope_noise() == doctest::Approx(number(7)).epsilon(1e-11));
    }
}

TEST_CASE("the farthest that a line may be taken is where its noise is that of a single point") {
    LineFit fit;
    for (int i = -10; i <= 0; ++i) fit.add(i * 1'000, 0);
    const std::int64_t farthest = fit.farthest_ms();
    CHECK(fit.value_noise(farthest) <= 1);
    CHECK(fit.value_noise(farthest + 1) > 1);
}

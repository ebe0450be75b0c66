// Type K against printed values and the published approximation of NIST Monograph 175 (README.md here).
#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <map>
#include <string>

#include "drivers/sensors/thermocouple.hpp"
#include "support/csv_rows.hpp"

using namespace drumwatch;

namespace {

const std::string kData = DATA_DIR "/";

const ThermocoupleType& type_k() { return *thermocouple_type('K'); }

double number(const std::string& text) { return std::stod(text); }

/// The published inverse polynomial, evaluated here from the data file and not from the product's table.
double published_inverse(double millivolts) {
    double sum = 0;
    bool found = false;
    for (const CsvRow& row : csv_rows(kData + "its90_inverse.csv")) {
        if (millivolts < number(row[1]) || millivolts > number(row[2])) continue;
        if (found && number(row[3]) == 0) break;  // a joint: the first piece is enough
        sum += number(row[4]) * std::pow(millivolts, number(row[3]));
        found = true;
    }
    REQUIRE(found);
    return sum;
}

}  // namespace

TEST_CASE("type K agrees with the printed tables") {
    const auto rows = csv_rows(kData + "spot_checks.csv");
    CHECK(rows.size() >= 18);
    for (const CsvRow& row : rows) {
        CAPTURE(row.at(1));
        const double celsius = number(row.at(1));
        const double printed_mv = number(row.at(2));
        const auto millivolts = millivolts_from_celsius(type_k(), celsius);
        REQUIRE(millivolts);
        CHECK(std::fabs(*millivolts - printed_mv) <= 0.0005);
        const auto back = celsius_from_millivolts(type_k(), printed_mv);
        REQUIRE(back);
        // The table is rounded to a microvolt; half of that is 0.0125 degrees at 40 microvolts a degree. No
        // more than this, and a ten-thousandth, may be between us.
        const double slope = *millivolts_from_celsius(type_k(), celsius + 0.5) -
                             *millivolts_from_celsius(type_k(), celsius - 0.5);
        CHECK(std::fabs(*back - celsius) <= 0.0005 / slope + 0.0001);
    }
}

TEST_CASE("type K goes there and back over its whole range") {
    double worst_c = 0;
    for (int tenth = -2700; tenth <= 13720; ++tenth) {
        const double celsius = tenth / 10.0;
        const auto millivolts = millivolts_from_celsius(type_k(), celsius);
        REQUIRE(millivolts);
        const auto back = celsius_from_millivolts(type_k(), *millivolts);
        REQUIRE(back);
        worst_c = std::fmax(worst_c, std::fabs(*back - celsius));
    }
    CAPTURE(worst_c);
    CHECK(worst_c <= 1e-6);
}

TEST_CASE("type K lies within the published error band of the inverse polynomials") {
    const auto bands = csv_rows(kData + "its90_inverse_bands.csv");
    CHECK(bands.size() == 3);
    for (const CsvRow& band : bands) {
        const double low = number(band.at(3));
        const double high = number(band.at(4));
        for (int i = 1; i < 400; ++i) {  // short of the joints, where either piece may be used
            const double celsius = low + (high - low) * i / 400;
            CAPTURE(celsius);
            const double error = published_inverse(*millivolts_from_celsius(type_k(), celsius)) - celsius;
            CHECK(error >= number(band.at(5)) - 0.005);
            CHECK(error <= number(band.at(6)) + 0.005);
        }
    }
}

TEST_CASE("type K rises everywhere and its pieces meet") {
    double before = -1000;
    for (int tenth = -2700; tenth <= 13720; ++tenth) {
        const double millivolts = *millivolts_from_celsius(type_k(), tenth / 10.0);
        CHECK(millivolts > before);
        before = millivolts;
    }
    CHECK(std::fabs(*millivolts_from_celsius(type_k(), 1e-9)) < 1e-7);
    CHECK(std::fabs(*millivolts_from_celsius(type_k(), -1e-9)) < 1e-7);
}

TEST_CASE("a cold junction is compensated in millivolts and not in degrees") {
    // Printed values: 8.138 mV at 200 degrees, 1.000 mV at 25: the terminals see the difference.
    CHECK(celsius_from_millivolts(type_k(), 8.138 - 1.000, 25).value() ==
          doctest::Approx(200).epsilon(0.0001));
    // Where the slope is another, adding degrees is plainly wrong: 52.410 mV at 1300 degrees.
    CHECK(celsius_from_millivolts(type_k(), 52.410 - 1.000, 25).value() ==
          doctest::Approx(1300).epsilon(0.00002));
    CHECK(celsius_from_millivolts(type_k(), 52.410 - 1.000).value() + 25 < 1298);
}

TEST_CASE("what is outside the range is no temperature") {
    const double nan = std::numeric_limits<double>::quiet_NaN();
    const ThermocoupleRange range = thermocouple_range(type_k());
    CHECK(range.low_c == -270);
    CHECK(range.high_c == 1372);
    for (const double celsius : {-270.01, 1372.01, nan}) CHECK(!millivolts_from_celsius(type_k(), celsius));
    for (const double millivolts : {-6.4600, 54.8880, 1e300, -1e300, nan})
        CHECK(!celsius_from_millivolts(type_k(), millivolts));
    CHECK(celsius_from_millivolts(type_k(), -6.458).value() == doctest::Approx(-270).epsilon(0.01));
    CHECK(celsius_from_millivolts(type_k(), 54.886).value() == doctest::Approx(1372).epsilon(0.00002));
    CHECK(!celsius_from_millivolts(type_k(), 1.0, -300));
    CHECK(thermocouple_type('k') == nullptr);
    CHECK(thermocouple_type('Z') == nullptr);
}

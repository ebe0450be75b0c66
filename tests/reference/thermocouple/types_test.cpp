// The eight types against printed values, points computed outside the product, and the published error bands
// of NIST Monograph 175 (README.md here says which is which).
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

double number(const std::string& text) { return std::stod(text); }

const ThermocoupleType& type_of(const CsvRow& row) { return *thermocouple_type(row.at(0).at(0)); }

double slope_at(const ThermocoupleType& type, double celsius) {
    const double low = std::fmax(celsius - 0.5, type.range.low_c);
    const double high = std::fmin(celsius + 0.5, type.range.high_c);
    return (*millivolts_from_celsius(type, high) - *millivolts_from_celsius(type, low)) / (high - low);
}

/// Where an inverse begins: type B has none below its published polynomials.
double coldest_inverse(const ThermocoupleType& type) { return type.letter == 'B' ? 250 : type.range.low_c; }

/// The published inverse piece, evaluated here from the data file and not from the product's table.
double published_inverse(const std::vector<CsvRow>& rows, const CsvRow& band, double millivolts) {
    double sum = 0;
    for (const CsvRow& row : rows)
        if (row[0] == band[0] && row[1] == band[1] && row[2] == band[2])
            sum += number(row[4]) * std::pow(millivolts, number(row[3]));
    return sum;
}

/// To the last printed digit there, and back to the degree.
void agrees_with_print(const ThermocoupleType& type, double celsius, double printed_mv) {
    CAPTURE(type.letter);
    CAPTURE(celsius);
    constexpr double kHalfADigit_mv = 0.0005;
    const auto millivolts = millivolts_from_celsius(type, celsius);
    REQUIRE(millivolts);
    CHECK(std::fabs(*millivolts - printed_mv) <= kHalfADigit_mv);
    if (celsius <= coldest_inverse(type) + 1) return;
    const auto back = celsius_from_millivolts(type, printed_mv);
    REQUIRE(back);
    // Half of a printed digit is 0.0125 degrees at 40 microvolts a degree. No more than this, and a
    // ten-thousandth, may be between us.
    CHECK(std::fabs(*back - celsius) <= kHalfADigit_mv / slope_at(type, celsius) + 0.0001);
}

}  // namespace

TEST_CASE("all types agree with every degree of the printed tables, and with another copy of some of them") {
    std::map<char, int> points;
    for (const CsvRow& row : csv_rows(kData + "printed_tables.csv")) {
        for (std::size_t i = 2; i < row.size(); ++i) {
            const ThermocoupleType& type = type_of(row);
            agrees_with_print(type, number(row.at(1)) + static_cast<double>(i - 2), number(row[i]));
            ++points[type.letter];
        }
    }
    CHECK(points == std::map<char, int>{{'K', 1643},
                                        {'J', 1411},
                                        {'T', 671},
                                        {'E', 1271},
                                        {'N', 1571},
                                        {'R', 1819},
                                        {'S', 1819},
                                        {'B', 1821}});
    for (const CsvRow& row : csv_rows(kData + "spot_checks.csv"))
        agrees_with_print(type_of(row), number(row.at(1)), number(row.at(2)));
}

TEST_CASE("all types agree with points computed from the published coefficients in 60 digits") {
    std::map<char, int> points;
    for (const CsvRow& row : csv_rows(kData + "computed_points.csv")) {
        CAPTURE(row.at(0));
        CAPTURE(row.at(1));
        const ThermocoupleType& type = type_of(row);
        const double celsius = number(row.at(1));
        ++points[type.letter];
        const auto millivolts = millivolts_from_celsius(type, celsius);
        REQUIRE(millivolts);
        // Terms of both signs nearly cancel in the cold (type T: 1.3e-10 mV), which leaves the digits of a
        // double.
        CHECK(std::fabs(*millivolts - number(row.at(2))) <= 1e-9);
        if (celsius < coldest_inverse(type)) continue;
        const auto back = celsius_from_millivolts(type, number(row.at(2)));
        REQUIRE(back);
        CHECK(std::fabs(*back - celsius) <= 1e-6);
    }
    for (const char letter : kThermocoupleLetters) CHECK(points[letter] >= 61);
}

TEST_CASE("all types go there and back wherever they have an inverse") {
    for (const char letter : kThermocoupleLetters) {
        CAPTURE(letter);
        const ThermocoupleType& type = *thermocouple_type(letter);
        double worst_c = 0;
        const int first = static_cast<int>(std::ceil(coldest_inverse(type) * 20));
        for (int i = first; i <= static_cast<int>(type.range.high_c * 20); ++i) {
            const double celsius = i / 20.0;
            const auto back = celsius_from_millivolts(type, *millivolts_from_celsius(type, celsius));
            REQUIRE(back);
            worst_c = std::fmax(worst_c, std::fabs(*back - celsius));
        }
        CAPTURE(worst_c);
        CHECK(worst_c <= 1e-6);
    }
}

TEST_CASE("published inverse polynomials lie within their published error bands, and ours are the same") {
    const auto rows = csv_rows(kData + "its90_inverse.csv");
    const auto bands = csv_rows(kData + "its90_inverse_bands.csv");
    CHECK(bands.size() == 23);
    for (const CsvRow& band : bands) {
        CAPTURE(band.at(0));
        CAPTURE(band.at(1));
        const ThermocoupleType& type = type_of(band);
        const double low = number(band.at(3));
        const double high = number(band.at(4));
        // Half of the last printed digit, of which there are four where the band is that narrow (README.md).
        const double finest = std::fmin(std::fabs(number(band.at(5))), std::fabs(number(band.at(6))));
        const double printed = finest < 0.001 ? 0.0001 : finest < 0.01 ? 0.001 : 0.01;
        for (int i = 1; i < 400; ++i) {
            const double celsius = low + (high - low) * i / 400;
            CAPTURE(celsius);
            const double millivolts = *millivolts_from_celsius(type, celsius);
            const double published = published_inverse(rows, band, millivolts);
            CHECK(published - celsius >= number(band.at(5)) - printed / 2);
            CHECK(published - celsius <= number(band.at(6)) + printed / 2);
            const double ours = *celsius_by_published_inverse(type, millivolts);
            const bool in_overlap = std::fabs(ours - published) > 1e-7;  // R and S: the upper piece is taken
            if (in_overlap) {
                CHECK((type.letter == 'R' || type.letter == 'S'));
                CHECK(celsius > 1063);
                CHECK(std::fabs(ours - celsius) <= 0.0015);
            }
        }
    }
}

TEST_CASE("all types rise wherever they have an inverse, and their pieces meet") {
    for (const CsvRow& row : csv_rows(kData + "its90_direct.csv")) {
        const ThermocoupleType& type = type_of(row);
        const double joint = number(row.at(2));
        if (joint == type.range.high_c) continue;
        CAPTURE(row.at(0));
        CAPTURE(joint);
        const double below = *millivolts_from_celsius(type, joint - 1e-9);
        const double above = *millivolts_from_celsius(type, joint + 1e-9);
        CHECK(std::fabs(above - below) < 2e-7);  // the source's pieces meet within 1e-7 mV
    }
    for (const char letter : kThermocoupleLetters) {
        const ThermocoupleType& type = *thermocouple_type(letter);
        CAPTURE(letter);
        double before = -1000;
        for (int i = static_cast<int>(coldest_inverse(type) * 10); i <= type.range.high_c * 10; ++i) {
            const double millivolts = *millivolts_from_celsius(type, i / 10.0);
            CHECK(millivolts > before);
            before = millivolts;
        }
    }
}

TEST_CASE("an inverse is steady across its joints") {
    for (const CsvRow& band : csv_rows(kData + "its90_inverse_bands.csv")) {
        CAPTURE(band.at(0));
        CAPTURE(band.at(1));
        const ThermocoupleType& type = type_of(band);
        const double joint = number(band.at(1));
        if (joint < type.range.low_mv + 0.001) continue;  // the range's end
        const double below = *celsius_from_millivolts(type, joint - 1e-9);
        const double above = *celsius_from_millivolts(type, joint + 1e-9);
        CHECK(above > below);
        CHECK(above - below < 4e-6);
    }
}

TEST_CASE("a cold junction is compensated in millivolts and not in degrees") {
    const ThermocoupleType& type_k = *thermocouple_type('K');
    const ThermocoupleType& type_t = *thermocouple_type('T');
    // Printed values: 8.138 mV at 200 degrees, 1.000 mV at 25: the terminals see the difference.
    CHECK(celsius_from_millivolts(type_k, 8.138 - 1.000, 25).value() == doctest::Approx(200).epsilon(0.0001));
    // Where the slope is another, adding degrees is plainly wrong: 52.410 mV at 1300 degrees.
    CHECK(celsius_from_millivolts(type_k, 52.410 - 1.000, 25).value() ==
          doctest::Approx(1300).epsilon(0.00002));
    CHECK(celsius_from_millivolts(type_k, 52.410 - 1.000).value() + 25 < 1298);
    // Type T shows it in a roast's own range: 9.288 mV at 200 degrees, 0.992 at 25 (printed).
    CHECK(celsius_from_millivolts(type_t, 9.288 - 0.992, 25).value() == doctest::Approx(200).epsilon(0.0001));
    CHECK(celsius_from_millivolts(type_t, 9.288 - 0.992).value() + 25 > 206);
}

TEST_CASE("type B falls before it rises: a cold junction has its emf, an inverse begins at 250 degrees") {
    const ThermocoupleType& type = *thermocouple_type('B');
    CHECK(*millivolts_from_celsius(type, 21) == doctest::Approx(-0.0026).epsilon(0.02));
    CHECK(std::fabs(*millivolts_from_celsius(type, 42)) < 0.0002);
    CHECK(!celsius_from_millivolts(type, 0.0));
    CHECK(!celsius_from_millivolts(type, 0.290));
    CHECK(celsius_from_millivolts(type, 0.291).value() == doctest::Approx(250).epsilon(0.001));
    // 4.834 mV at 1000 degrees (printed); the junction at 25 degrees gives -0.002.
    CHECK(celsius_from_millivolts(type, 4.834 + 0.002, 25).value() == doctest::Approx(1000).epsilon(0.0001));
}

TEST_CASE("what is outside the range is no temperature") {
    const double nan = std::numeric_limits<double>::quiet_NaN();
    const double infinity = std::numeric_limits<double>::infinity();
    for (const char letter : kThermocoupleLetters) {
        CAPTURE(letter);
        const ThermocoupleType& type = *thermocouple_type(letter);
        const ThermocoupleRange& range = type.range;
        for (const double celsius : {range.low_c - 0.01, range.high_c + 0.01, nan, infinity, -infinity})
            CHECK(!millivolts_from_celsius(type, celsius));
        for (const double mv :
             {range.low_mv - 0.001, range.high_mv + 0.001, 1e300, nan, infinity, -infinity}) {
            CHECK(!celsius_from_millivolts(type, mv));
            CHECK(!celsius_by_published_inverse(type, mv));
        }
        // An end's table value, rounded outwards, is the end.
        CHECK(celsius_from_millivolts(type, range.high_mv + 0.0004) == range.high_c);
        if (letter != 'B') CHECK(celsius_from_millivolts(type, range.low_mv - 0.0004) == range.low_c);
        CHECK(!celsius_from_millivolts(type, 1.0, -300));
    }
    const std::map<char, std::pair<double, double>> ranges{
        {'K', {-270, 1372}}, {'J', {-210, 1200}},  {'T', {-270, 400}},   {'E', {-270, 1000}},
        {'N', {-270, 1300}}, {'R', {-50, 1768.1}}, {'S', {-50, 1768.1}}, {'B', {0, 1820}}};
    for (const auto& [letter, range] : ranges) {
        CHECK(thermocouple_type(letter)->range.low_c == range.first);
        CHECK(thermocouple_type(letter)->range.high_c == range.second);
    }
    CHECK(thermocouple_type('k') == nullptr);
    CHECK(thermocouple_type('Z') == nullptr);
}

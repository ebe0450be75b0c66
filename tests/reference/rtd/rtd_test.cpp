// Pt100 and Pt1000 against printed values and tolerances of IEC 60751 (README.md here).
#include <doctest/doctest.h>

#include <cmath>
#include <limits>
#include <string>

#include "drivers/sensors/rtd.hpp"
#include "drivers/sensors/tolerance_class.hpp"
#include "support/csv_rows.hpp"

using namespace drumwatch;

namespace {
const std::string kData = DATA_DIR "/";
}

TEST_CASE("Pt100 and Pt1000 agree with the values of IEC 60751") {
    int printed = 0;
    for (const CsvRow& row : csv_rows(kData + "pt100.csv")) {
        if (row.at(0) == "coefficient") continue;
        CAPTURE(row.at(2));
        const bool of_table = row.at(0) == "table";
        const double celsius = std::stod(row.at(2));
        const double ohms = std::stod(row.at(3));
        const double rounding = of_table ? 0.005 : 0.000005;
        printed += of_table ? 1 : 0;
        CHECK(std::fabs(ohms_from_celsius(RtdType::pt100, celsius).value() - ohms) <= rounding + 1e-9);
        CHECK(std::fabs(ohms_from_celsius(RtdType::pt1000, celsius).value() - ohms * 10) <=
              10 * rounding + 1e-8);
        const double least_slope = 0.29;  // ohms a degree, at 850
        for (const auto& back :
             {celsius_from_ohms(RtdType::pt100, ohms), celsius_from_ohms(RtdType::pt1000, ohms * 10)})
            CHECK(std::fabs(back.value() - celsius) <= rounding / least_slope + 1e-6);
    }
    CHECK(printed == 27);
}

TEST_CASE("resistance goes there and back over the whole range") {
    double worst_c = 0;
    for (int tenth = -2000; tenth <= 8500; ++tenth) {
        for (const RtdType type : {RtdType::pt100, RtdType::pt1000}) {
            const double celsius = tenth / 10.0;
            const auto back = celsius_from_ohms(type, ohms_from_celsius(type, celsius).value());
            worst_c = std::fmax(worst_c, std::fabs(back.value() - celsius));
        }
    }
    CAPTURE(worst_c);
    CHECK(worst_c <= 1e-6);
}

TEST_CASE("a resistance outside the range is no temperature") {
    const double nan = std::numeric_limits<double>::quiet_NaN();
    for (const double celsius : {-200.01, 850.01, nan}) CHECK(!ohms_from_celsius(RtdType::pt100, celsius));
    for (const double ohms : {0.0, 18.51, 390.49, 1e9, -100.0, nan})
        CHECK(!celsius_from_ohms(RtdType::pt100, ohms));
    CHECK(!celsius_from_ohms(RtdType::pt1000, 185.1));
    CHECK(celsius_from_ohms(RtdType::pt100, 18.52) == -200.0);  // printed for 18.52008
    CHECK(celsius_from_ohms(RtdType::pt100, 390.48).value() == doctest::Approx(850).epsilon(1e-5));
}

TEST_CASE("tolerance classes of resistance thermometers are those of IEC 60751") {
    const auto rows = csv_rows(kData + "tolerance.csv");
    REQUIRE(rows.size() == 4);
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const CsvRow& row = rows[i];
        CAPTURE(row.at(0));
        CHECK(row.at(0) == kRtdClassNames[i]);
        const auto of = static_cast<RtdClass>(i);
        for (const RtdBuild build : {RtdBuild::wire_wound, RtdBuild::thin_film}) {
            const std::size_t column = build == RtdBuild::wire_wound ? 3 : 5;
            const double low = std::stod(row.at(column));
            const double high = std::stod(row.at(column + 1));
            for (const double celsius : {low, (low + high) / 2, high})
                CHECK(rtd_tolerance(of, build, celsius).value() ==
                      doctest::Approx(std::stod(row.at(1)) + std::stod(row.at(2)) * std::fabs(celsius)));
            CHECK(!rtd_tolerance(of, build, low - 0.1));
            CHECK(!rtd_tolerance(of, build, high + 0.1));
        }
    }
}

// The boiling point of water against published values.
#include <doctest/doctest.h>

#include <cmath>

#include "drivers/sensors/boiling_point.hpp"

using namespace drumwatch;

TEST_CASE("the saturation temperature is that of the formulation's own table for checking programs") {
    // IAPWS R7-97(2012), table 36: 0.1 MPa gives 372.755919 K. (Its other two lie beyond a probe check: 1 and
    // 10 MPa.)
    CHECK(std::fabs(*boiling_point_c(1000) + 273.15 - 372.755919) < 1e-6);
}

TEST_CASE("the saturation temperature is that of printed steam tables, to their last digit") {
    // Saturated water by pressure, as steam tables by IAPWS-IF97 print it; values from memory of such a
    // table.
    struct Row {
        double hpa, celsius, half_digit;
    };
    for (const Row& row :
         {Row{500, 81.32, 0.005}, Row{600, 85.93, 0.005}, Row{700, 89.93, 0.005}, Row{800, 93.49, 0.005},
          Row{900, 96.69, 0.005}, Row{1013.25, 99.97, 0.005}, Row{1100, 102.29, 0.005}}) {
        CAPTURE(row.hpa);
        CHECK(std::fabs(*boiling_point_c(row.hpa) - row.celsius) <= row.half_digit + 1e-3);
    }
}

TEST_CASE("the pressure at an altitude is that of the standard atmosphere's table") {
    // ISO 2533:1975 (the same as the ICAO standard atmosphere), geopotential altitude; values from memory.
    struct Row {
        double metres, hpa;
    };
    for (const Row& row :
         {Row{0, 1013.25}, Row{500, 954.61}, Row{1000, 898.75}, Row{2000, 794.95}, Row{3000, 701.09}}) {
        CAPTURE(row.metres);
        CHECK(std::fabs(*standard_pressure_hpa(row.metres) - row.hpa) < 0.06);
    }
}

TEST_CASE("outside of where the formulas are meant to be used there is nothing") {
    CHECK(!boiling_point_c(299));
    CHECK(!boiling_point_c(1201));
    CHECK(!boiling_point_c(std::nan("")));
    CHECK(!standard_pressure_hpa(-501));
    CHECK(!standard_pressure_hpa(5001));
    CHECK(!standard_pressure_hpa(std::nan("")));
}

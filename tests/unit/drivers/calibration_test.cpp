#include <doctest/doctest.h>

#include "drivers/sensors/calibration.hpp"

using namespace drumwatch;

TEST_CASE("without a calibration a reading stays what it is, with one point it is shifted everywhere") {
    CHECK(calibrated({}, 187'400) == 187'400);
    const Calibration offset{{100'000, 98'600}};
    for (const Milli reads : {-40'000, 0, 100'000, 230'000})
        CHECK(calibrated(offset, reads) == reads - 1'400);
}

TEST_CASE("between points it is a straight line, outside of them their own corrections hold on") {
    const Calibration three{{500, 0}, {99'000, 100'000}, {200'000, 199'000}};
    CHECK(calibrated(three, 500) == 0);
    CHECK(calibrated(three, 99'000) == 100'000);
    CHECK(calibrated(three, 200'000) == 199'000);
    CHECK(calibrated(three, 49'750) == 50'000);
    CHECK(calibrated(three, 149'500) == 149'500);
    CHECK(calibrated(three, -20'000) == -20'500);
    CHECK(calibrated(three, 260'000) == 259'000);
}

TEST_CASE("a calibration that would do harm is refused, and says what would be right") {
    const auto refusal = [](Calibration points) { return calibration_refusal(points, 5'000); };
    CHECK(refusal({}).empty());
    CHECK(refusal({{0, 300}, {100'000, 99'000}}).empty());
    CHECK(refusal({{0, 0}, {50'000, 0}}).find("off by more than the 5 ") != std::string::npos);
    CHECK(refusal({{100'000, 94'999}}).find("probe and its wiring first") != std::string::npos);
    CHECK(
        refusal({{0, 0}, {10'000, 0}, {20'000, 0}, {30'000, 0}, {40'000, 0}, {50'000, 0}}).find("too many") !=
        std::string::npos);
    CHECK(refusal({{100'000, 100'000}, {104'999, 105'000}}).find("too near") != std::string::npos);
    CHECK(refusal({{100'000, 104'000}, {106'000, 103'000}}).find("does not") != std::string::npos);
}

TEST_CASE("points are taken in any order") {
    Calibration points{{200'000, 199'000}, {0, 1'000}};
    REQUIRE(calibration_refusal(points, 5'000).empty());
    CHECK(points.front().reads_milli == 0);
    CHECK(calibrated(points, 100'000) == 100'000);
}

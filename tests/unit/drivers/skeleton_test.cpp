// The driver that others are copied from must itself be right.
#include <doctest/doctest.h>
#include <unistd.h>

#include <cstdio>
#include <filesystem>
#include <fstream>

#include "driver_fixtures.hpp"
#include "drivers/driver.hpp"

using namespace drumwatch;

TEST_CASE("the skeleton driver reads the numbers of a file") {
    const std::string path =
        std::filesystem::temp_directory_path().string() + "/drumwatch-skeleton-" + std::to_string(::getpid());
    std::ofstream(path) << "48250,7\nmore\n";
    BusConfig bus;
    bus.kind = BusKind::skeleton;
    bus.device = path;
    bus.channels = {text_channel(2, 1), text_channel(3, 3)};
    bus.channels[0].scale = 0.001;
    const auto driver = make_driver(bus, 1);
    REQUIRE(driver->open().ok());
    PollOutcome outcome = driver->poll();
    REQUIRE(outcome.link == Link::up);
    REQUIRE(outcome.readings.size() == 2);
    CHECK(outcome.readings[0].channel == 2);
    CHECK(outcome.readings[0].value_milli == 48'250);
    CHECK(outcome.readings[1].quality == Quality::bad_reply);
    std::ofstream(path) << "50000\n";
    CHECK(driver->poll().readings.at(0).value_milli == 50'000);
    CHECK(!driver->write_coil(WriteList({0}).find(0).value(), true).ok());
    driver->close();
    driver->close();
    CHECK(driver->poll().link == Link::down);
    std::remove(path.c_str());
    CHECK(driver->open().error() == "cannot read " + path + ": No such file or directory");
}

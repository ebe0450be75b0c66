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
    outcome = driver->poll();
    CHECK(outcome.link == Link::down);
    CHECK(outcome.faults[static_cast<std::size_t>(LinkFault::gone)] == 1);
    std::remove(path.c_str());
    CHECK(driver->open().error() == "cannot read " + path + ": No such file or directory");
}

TEST_CASE("the skeleton driver counts what is wrong with a line once, and says it") {
    const std::string path = std::filesystem::temp_directory_path().string() + "/drumwatch-skeleton-line-" +
                             std::to_string(::getpid());
    std::ofstream(path) << "48,7,1\n";
    BusConfig bus;
    bus.kind = BusKind::skeleton;
    bus.device = path;
    bus.fields = 2;
    bus.channels = {text_channel(0, 1), text_channel(1, 2)};
    const auto driver = make_driver(bus, 1);
    REQUIRE(driver->open().ok());
    const PollOutcome outcome = driver->poll();
    CHECK(outcome.link == Link::up);
    CHECK(outcome.faults[static_cast<std::size_t>(LinkFault::wrong_field_count)] == 1);
    CHECK(outcome.complaint == path + ": The line has another number of fields than stated.");
    REQUIRE(outcome.readings.size() == 2);
    for (const Reading& reading : outcome.readings) CHECK(reading.quality == Quality::bad_reply);
    std::remove(path.c_str());
}

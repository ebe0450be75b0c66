#include "service/bus_room.hpp"

#include <doctest/doctest.h>

using namespace drumwatch;

namespace {

/// One bus whose device is not there.
Config lonely() {
    Config config;
    Channel bean;
    bean.name = "bean";
    bean.role = Role::bean;
    config.channels = {bean};
    BusConfig bus;
    bus.name = "machine";
    bus.host = "127.0.0.1";
    bus.port = 1;  // tcpmux: nobody listens there
    bus.channels.push_back({0, ModbusSource{}, std::nullopt, 1, 0, false});
    config.buses = {bus};
    return config;
}

}  // namespace

TEST_CASE("a bus is silent when it was asked in vain for a second, not when the box stood still") {
    const Config config = lonely();
    LatestReadings latest(config.channels);
    const auto nobody = [](std::function<void()>) {};
    BusRoom room(config, latest, nobody, [](std::size_t, auto) {});
    room.poll_all();
    CHECK(room.judge({250}).empty());
    CHECK(room.judge({60'000}).empty());  // a minute of ticks at once, and one question
    CHECK(room.silent_channels() == 0);
    room.poll_all();
    const auto changes = room.judge({60'250});
    REQUIRE(changes.size() == 1);
    CHECK(changes[0].health == Health::bus_silent);
    CHECK(changes[0].bad);
    CHECK(room.silent_channels() == 1);
    REQUIRE(room.complaints().size() == 1);
    CHECK(room.complaints()[0].find("bus machine") == 0);
    room.stop();
}

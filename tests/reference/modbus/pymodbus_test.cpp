// The driver and its host against an independent server as a real process: python3-pymodbus
// (pymodbus_server.py).
#include <doctest/doctest.h>

#include <atomic>
#include <chrono>
#include <map>
#include <memory>
#include <thread>
#include <tuple>

#include "drivers/driver.hpp"
#include "drivers/host.hpp"
#include "support/child_process.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;

namespace {

/// Debian's own python3, because the package is Debian's.
struct PymodbusServer {
    explicit PymodbusServer(std::uint16_t wanted = 0)
        : process({"/usr/bin/python3", DATA_DIR "/pymodbus_server.py", std::to_string(wanted)}),
          port(static_cast<std::uint16_t>(std::stoi(process.expect_line("modbus: 127.0.0.1:", 60s)))) {}
    ChildProcess process;
    std::uint16_t port;
};

BusConfig bus_at(std::uint16_t port) {
    BusConfig bus;
    bus.name = "independent";
    bus.host = "127.0.0.1";
    bus.port = port;
    bus.timeout_ms = 10'000;
    return bus;
}

void add(BusConfig& bus, RegisterTable table, int address, DataType type, WordOrder order = WordOrder::abcd,
         double scale = 1) {
    ChannelSource source;
    source.channel = static_cast<std::uint8_t>(bus.channels.size());
    source.modbus = ModbusSource{table, static_cast<std::uint16_t>(address), 1, type, order, std::nullopt};
    source.scale = scale;
    bus.channels.push_back(source);
}

std::map<int, Reading> by_channel(const PollOutcome& outcome) {
    std::map<int, Reading> readings;
    for (const Reading& reading : outcome.readings) readings[reading.channel] = reading;
    return readings;
}

}  // namespace

TEST_CASE("an independent server's registers are read in every type order and table") {
    PymodbusServer server;
    const std::vector<WordOrder> orders{WordOrder::abcd, WordOrder::cdab, WordOrder::badc, WordOrder::dcba};
    for (const RegisterTable table : {RegisterTable::input, RegisterTable::holding}) {
        BusConfig bus = bus_at(server.port);
        std::vector<Milli> expected;
        add(bus, table, 0, DataType::int16, WordOrder::abcd, 0.1);
        add(bus, table, 1, DataType::uint16, WordOrder::abcd, 0.1);
        expected = {-5'000, 6'548'600};
        int address = 100;
        for (const auto& [type, scale, milli] :
             {std::tuple(DataType::float32, 1.0, 205'300), std::tuple(DataType::int32, 0.1, -125'000),
              std::tuple(DataType::uint32, 0.0001, 400'000'000)})
            for (const WordOrder order : orders) {
                add(bus, table, address, type, order, scale);
                expected.push_back(milli);
                address += 2;
            }
        const auto driver = make_driver(bus, 1);
        REQUIRE(driver->open().ok());
        const PollOutcome outcome = driver->poll();
        REQUIRE(outcome.link == Link::up);
        CHECK(outcome.complaint.empty());
        std::map<int, Reading> readings = by_channel(outcome);
        REQUIRE(readings.size() == expected.size());
        for (std::size_t i = 0; i < expected.size(); ++i) {
            CAPTURE(i);
            CHECK(readings[static_cast<int>(i)].quality == Quality::good);
            CHECK(readings[static_cast<int>(i)].value_milli == expected[i]);
        }
    }
}

TEST_CASE("an independent server's exceptions blind only their own channels") {
    PymodbusServer server;
    BusConfig bus = bus_at(server.port);
    add(bus, RegisterTable::input, 0, DataType::int16);
    add(bus, RegisterTable::input, 6, DataType::int16);  // not there, in one read with 0 and 1: exception 2
    add(bus, RegisterTable::input, 1, DataType::uint16);
    add(bus, RegisterTable::input, 666, DataType::int16);  // the device fails: exception 4
    add(bus, RegisterTable::input, 500, DataType::int16);  // open probe
    bus.channels[4].modbus->open_raw = 32767;
    const auto driver = make_driver(bus, 1);
    REQUIRE(driver->open().ok());
    for (int i = 0; i < 2; ++i) {
        const PollOutcome outcome = driver->poll();
        REQUIRE(outcome.link == Link::up);
        std::map<int, Reading> readings = by_channel(outcome);
        REQUIRE(readings.size() == 5);
        CHECK(readings[0].quality == Quality::good);
        CHECK(readings[1].quality == Quality::bad_reply);
        CHECK(readings[2].quality == Quality::good);
        CHECK(readings[3].quality == Quality::bad_reply);
        CHECK(readings[4].quality == Quality::open_circuit);
    }
}

TEST_CASE("a unit that an independent server does not have is silent and said to be") {
    PymodbusServer server;
    BusConfig bus = bus_at(server.port);
    bus.timeout_ms = 200;
    add(bus, RegisterTable::input, 0, DataType::int16);
    bus.channels[0].modbus->unit_id = 9;
    const auto driver = make_driver(bus, 1);
    REQUIRE(driver->open().ok());
    const PollOutcome outcome = driver->poll();
    CHECK(outcome.link == Link::down);
    CHECK(outcome.complaint == "no whole answer in time (unit 9, input register 0)");
}

TEST_CASE("an independent server sees only the coils of the allow-list") {
    PymodbusServer server;
    BusConfig bus = bus_at(server.port);
    add(bus, RegisterTable::input, 0, DataType::int16);
    bus.writable_coils = {3, 77};  // the server has 3 and 4
    BusHost host(bus, 1);
    std::atomic<int> answers = 0;
    std::atomic<int> written = 0;
    const auto ask = [&](std::uint16_t address, bool on) {
        const int before = answers;
        host.request_coil(address, on, [&](bool ok) {
            written += ok ? 1 : 0;
            ++answers;
        });
        while (answers == before) std::this_thread::sleep_for(1ms);
    };
    ask(3, true);
    ask(4, true);
    ask(77, true);
    ask(3, false);
    CHECK(written == 2);
    CHECK(server.process.read_line(10s) == "coil 3 1");
    CHECK(server.process.read_line(10s) == "coil 3 0");
    CHECK(host.counters().coil_refusals == 2);
}

TEST_CASE("an independent server that is killed is missed and found again") {
    auto server = std::make_unique<PymodbusServer>();
    const std::uint16_t port = server->port;
    BusConfig bus = bus_at(port);
    add(bus, RegisterTable::input, 0, DataType::int16);
    BusHost host(bus, 4);
    const auto up_becomes = [&](bool up) {
        const auto deadline = std::chrono::steady_clock::now() + 60s;
        while (std::chrono::steady_clock::now() < deadline) {
            host.request_poll([](PollOutcome) {});
            if (host.counters().up == up) return true;
            std::this_thread::sleep_for(2ms);
        }
        return false;
    };
    CHECK(up_becomes(true));
    server->process.kill();
    CHECK(up_becomes(false));
    CHECK(!host.counters().complaint.empty());
    server = std::make_unique<PymodbusServer>(port);
    CHECK(up_becomes(true));
    CHECK(host.counters().reconnects >= 1);
}

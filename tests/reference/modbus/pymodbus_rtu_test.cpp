// Modbus RTU against an independent server as a real process (pymodbus_server.py), over two pseudo-terminals
// that an independent program joins (socat).
#include <doctest/doctest.h>
#include <unistd.h>

#include <atomic>
#include <chrono>
#include <filesystem>
#include <map>
#include <thread>

#include "drivers/driver.hpp"
#include "drivers/host.hpp"
#include "support/child_process.hpp"
#include "support/temp_dir.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;

namespace {

/// A line with a driver's end and a device's.
struct Line {
    TempDir folder;
    std::string ours = folder.path() + "/ours";
    std::string theirs = folder.path() + "/theirs";
    ChildProcess socat{{"socat", "pty,rawer,link=" + ours, "pty,rawer,link=" + theirs}};
    Line() {
        const auto until = std::chrono::steady_clock::now() + 20s;
        while (!(std::filesystem::exists(ours) && std::filesystem::exists(theirs)) &&
               std::chrono::steady_clock::now() < until)
            std::this_thread::sleep_for(2ms);
    }
};

/// Debian's own python3, because the package is Debian's.
struct Server {
    explicit Server(const Line& line)
        : process({"/usr/bin/python3", DATA_DIR "/pymodbus_server.py", "rtu", line.theirs}) {
        process.expect_line("modbus: ", 60s);
    }
    ChildProcess process;
};

BusConfig bus_on(const Line& line) {
    BusConfig bus;
    bus.name = "independent";
    bus.kind = BusKind::modbus_rtu;
    bus.device = line.ours;
    bus.timeout_ms = 5'000;
    return bus;
}

void add(BusConfig& bus, std::uint8_t unit_id, int address, DataType type = DataType::int16,
         WordOrder order = WordOrder::abcd, RegisterTable table = RegisterTable::input) {
    ChannelSource source;
    source.channel = static_cast<std::uint8_t>(bus.channels.size());
    source.modbus =
        ModbusSource{table, static_cast<std::uint16_t>(address), unit_id, type, order, std::nullopt};
    bus.channels.push_back(source);
}

std::map<int, Reading> by_channel(const PollOutcome& outcome) {
    std::map<int, Reading> readings;
    for (const Reading& reading : outcome.readings) readings[reading.channel] = reading;
    return readings;
}

}  // namespace

TEST_CASE("an independent RTU server's registers are read from two units in every order") {
    Line line;
    Server server(line);
    for (const RegisterTable table : {RegisterTable::input, RegisterTable::holding}) {
        BusConfig bus = bus_on(line);
        add(bus, 1, 0, DataType::int16, WordOrder::abcd, table);
        add(bus, 2, 0, DataType::uint16, WordOrder::abcd, table);
        int address = 100;
        for (const WordOrder order : {WordOrder::abcd, WordOrder::cdab, WordOrder::badc, WordOrder::dcba}) {
            add(bus, 1, address, DataType::float32, order, table);
            address += 2;
        }
        const auto driver = make_driver(bus, 1);
        REQUIRE(driver->open().ok());
        for (int i = 0; i < 3; ++i) {
            const PollOutcome outcome = driver->poll();
            REQUIRE_MESSAGE(outcome.link == Link::up, outcome.complaint);
            CHECK(outcome.complaint.empty());
            std::map<int, Reading> readings = by_channel(outcome);
            REQUIRE(readings.size() == 6);
            CHECK(readings[0].value_milli == -50'000);
            CHECK(readings[1].value_milli == 2'222'000);
            for (int channel = 2; channel < 6; ++channel) CHECK(readings[channel].value_milli == 205'300);
            for (const auto& [channel, reading] : readings) CHECK(reading.quality == Quality::good);
        }
    }
}

TEST_CASE("an independent RTU server refuses what it has not and a unit that is not there is silent alone") {
    Line line;
    Server server(line);
    BusConfig bus = bus_on(line);
    add(bus, 1, 0);
    add(bus, 1, 6);    // not there, in one read with 0: exception 2
    add(bus, 1, 666);  // the device fails: exception 4
    add(bus, 2, 0);
    add(bus, 9, 0);  // nobody
    bus.units = {{9, 150, 0}};
    const auto driver = make_driver(bus, 1);
    REQUIRE(driver->open().ok());
    for (int i = 0; i < 4; ++i) {
        const PollOutcome outcome = driver->poll();
        REQUIRE_MESSAGE(outcome.link == Link::up, outcome.complaint);
        std::map<int, Reading> readings = by_channel(outcome);
        REQUIRE(readings.size() == 5);
        CHECK(readings[0].quality == Quality::good);
        CHECK(readings[1].quality == Quality::bad_reply);
        CHECK(readings[2].quality == Quality::bad_reply);
        CHECK(readings[3].quality == Quality::good);
        CHECK(readings[4].quality == Quality::bad_reply);
        CHECK_MESSAGE(outcome.complaint.find("unit 1 refuses input register 6: illegal data address") !=
                          std::string::npos,
                      outcome.complaint);
        const bool of_nine = outcome.complaint.find("(unit 9") != std::string::npos ||
                             outcome.complaint.find("unit 9 does not answer") != std::string::npos;
        CHECK_MESSAGE(of_nine, outcome.complaint);
    }
}

TEST_CASE("an independent RTU server sees only the coils of the allow-list") {
    Line line;
    Server server(line);
    BusConfig bus = bus_on(line);
    add(bus, 1, 0);
    bus.writable_coils = {3};
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
    ask(3, false);
    CHECK(written == 2);
    CHECK(server.process.read_line(10s) == "coil 3 1");
    CHECK(server.process.read_line(10s) == "coil 3 0");
}

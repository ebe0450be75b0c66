// The drivers against drumwatch-sim as a real process: stepped time over the wire, coils, the serial face,
// faults.
#include <doctest/doctest.h>

#include <atomic>
#include <chrono>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <optional>
#include <string>
#include <thread>

#include "driver_fixtures.hpp"
#include "drivers/driver.hpp"
#include "drivers/host.hpp"
#include "eventually.hpp"
#include "support/child_process.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;

namespace {

std::vector<std::string> call(std::vector<std::string> options) {
    options.insert(options.begin(), DRUMWATCH_SIM);
    return options;
}

std::uint16_t port_of(ChildProcess& simulator) {
    return static_cast<std::uint16_t>(std::stoi(simulator.expect_line("modbus: 127.0.0.1:", 60s)));
}

constexpr auto kInput = RegisterTable::input;
constexpr auto kHolding = RegisterTable::holding;
enum Place : std::uint8_t { bean, exhaust, bean_float, burner, airflow, state };

/// The simulator's map, as a station would state it.
BusConfig station_bus(std::uint16_t port, std::int64_t timeout_ms = 5000) {
    BusConfig bus = modbus_bus(port,
                               {modbus_channel(bean, kInput, 0, DataType::int16, 0.1),
                                modbus_channel(exhaust, kInput, 1, DataType::int16, 0.1),
                                modbus_channel(bean_float, kInput, 10, DataType::float32),
                                modbus_channel(burner, kHolding, 0, DataType::uint16, 0.1),
                                modbus_channel(airflow, kHolding, 1, DataType::uint16, 0.1),
                                modbus_channel(state, kHolding, 5, DataType::uint16)},
                               timeout_ms);
    bus.channels[0].modbus->open_raw = 32767;
    bus.channels[1].modbus->open_raw = 32767;
    bus.time_register = 3;
    bus.writable_coils = {0, 1};
    return bus;
}

std::map<int, Reading> by_channel(const PollOutcome& outcome) {
    std::map<int, Reading> readings;
    for (const Reading& reading : outcome.readings) readings[reading.channel] = reading;
    return readings;
}

}  // namespace

TEST_CASE("each poll of a stepped simulator is one step and one instant") {
    ChildProcess simulator(call({"--stepped", "250", "--port", "0"}));
    const auto driver = make_driver(station_bus(port_of(simulator)), 1);
    REQUIRE(driver->open().ok());
    std::optional<std::uint32_t> before;
    for (int i = 0; i < 200; ++i) {
        const PollOutcome outcome = driver->poll();
        REQUIRE(outcome.link == Link::up);
        REQUIRE(outcome.machine_ms);
        if (before) CHECK(*outcome.machine_ms - *before == 250);
        before = outcome.machine_ms;
        std::map<int, Reading> readings = by_channel(outcome);
        REQUIRE(readings.size() == 6);
        for (const auto& [channel, reading] : readings) CHECK(reading.quality == Quality::good);
        CHECK(readings[bean].value_milli > 0);
        CHECK(readings[bean].value_milli < 400'000);
        // The same probe twice: tenths of a degree against a float.
        CHECK(std::abs(readings[bean].value_milli - readings[bean_float].value_milli) <= 51);
        CHECK(readings[burner].value_milli >= 0);
        CHECK(readings[burner].value_milli <= 100'000);
    }
}

TEST_CASE("sounder and heartbeat reach the simulator and nothing else does") {
    const std::string truth = std::filesystem::temp_directory_path().string() + "/drumwatch-coils-" +
                              std::to_string(std::chrono::steady_clock::now().time_since_epoch().count());
    {
        ChildProcess simulator(call({"--stepped", "250", "--port", "0", "--truth", truth}));
        std::atomic<int> answers = 0;
        std::atomic<int> written = 0;
        BusHost host(station_bus(port_of(simulator)), 1);
        const auto ask = [&](std::uint16_t address, bool on) {
            const int before = answers;
            host.request_coil(address, on, [&](bool ok) {
                written += ok ? 1 : 0;
                ++answers;
            });
            return eventually([&] { return answers > before; });
        };
        CHECK(ask(0, true));
        CHECK(ask(5, true));
        CHECK(ask(1, true));
        CHECK(ask(0, false));
        CHECK(written == 3);
        host.stop();
        CHECK(simulator.terminate(10s) == 0);
    }
    std::ifstream file(truth);
    int changes = 0;
    for (std::string line; std::getline(file, line);)
        if (line.find("\"coil\"") != std::string::npos) ++changes;
    CHECK(changes == 2);  // the truth log keeps the sounder's changes
    std::filesystem::remove(truth);
}

TEST_CASE("the simulator's serial face and its registers tell the same bean temperature") {
    ChildProcess simulator(call({"--stepped", "250", "--port", "0", "--serial", "--quiet-probes"}));
    std::string device;
    std::uint16_t port = 0;
    while (device.empty() || port == 0) {
        const std::optional<std::string> line = simulator.read_line(60s);
        REQUIRE(line);
        if (line->starts_with("serial: ")) device = line->substr(8);
        if (line->starts_with("modbus: 127.0.0.1:"))
            port = static_cast<std::uint16_t>(std::stoi(line->substr(18)));
    }
    BusConfig text;
    text.kind = BusKind::serial_text;
    text.device = device;
    text.timeout_ms = 20'000;
    text.channels = {text_channel(bean, 1, "---"), text_channel(exhaust, 2, "---")};
    const auto registers = make_driver(station_bus(port), 1);
    const auto lines = make_driver(text, 1);
    REQUIRE(registers->open().ok());
    REQUIRE(lines->open().ok());
    int compared = 0;
    for (int i = 0; i < 40; ++i) {
        const PollOutcome over_modbus = registers->poll();
        const PollOutcome over_serial = lines->poll();
        REQUIRE(over_modbus.link == Link::up);
        REQUIRE(over_serial.link == Link::up);
        if (over_serial.readings.empty()) continue;
        // The line is of this step or the one beside it, where the bean moves by a few tenths at most.
        CHECK(std::abs(by_channel(over_serial)[bean].value_milli -
                       by_channel(over_modbus)[bean].value_milli) <= 1'000);
        ++compared;
    }
    CHECK(compared >= 30);
}

TEST_CASE("an open probe of the simulator is an open circuit and only that") {
    ChildProcess simulator(call({"--stepped", "1000", "--port", "0", "--fault", "open-bean@30+30"}));
    const auto driver = make_driver(station_bus(port_of(simulator)), 1);
    REQUIRE(driver->open().ok());
    int open = 0;
    for (int i = 0; i < 5000 && by_channel(driver->poll())[bean].quality == Quality::good; ++i) {
    }
    for (PollOutcome outcome = driver->poll(); by_channel(outcome)[bean].quality != Quality::good; ++open) {
        std::map<int, Reading> readings = by_channel(outcome);
        CHECK(readings[bean].quality == Quality::open_circuit);
        CHECK(readings[bean_float].quality == Quality::bad_reply);  // not a number, by the simulator's map
        CHECK(readings[exhaust].quality == Quality::good);
        outcome = driver->poll();
    }
    CHECK(open >= 27);
    CHECK(open <= 31);
}

TEST_CASE("each link fault of the simulator is seen for what it is and passes") {
    // Forty seconds each of simulated time after the first charge, at fifty times real time: 0.8 s.
    ChildProcess simulator(call({"--speed", "50", "--port", "0", "--fault", "exception@20+40", "--fault",
                                 "wrong-unit@80+40", "--fault", "short-reply@140+40", "--fault",
                                 "dead-bus@200+40", "--fault", "drop-connections@260+40"}));
    const auto driver = make_driver(station_bus(port_of(simulator), 400), 1);
    std::string seen;
    const auto note = [&](const std::string& what) {
        if (!seen.ends_with(" " + what)) seen += " " + what;
    };
    const auto look = [&] {
        const Result<Done> opened = driver->open();
        if (!opened) return note("refused");
        for (;;) {
            const PollOutcome outcome = driver->poll();
            if (outcome.link == Link::down)
                return note(outcome.complaint.substr(0, outcome.complaint.find(" (unit")));
            note(by_channel(outcome)[bean].quality == Quality::good ? "good" : "bad");
            if (seen.ends_with("refused good")) return;
            std::this_thread::sleep_for(2ms);
        }
    };
    CHECK(eventually(
        [&] {
            look();
            return seen.ends_with("refused good");
        },
        100s));
    CAPTURE(seen);
    std::size_t place = 0;
    for (const char* next : {"good", "bad", "good", "the device sent an answer from another unit", "good",
                             "the device sent a wrong number of registers", "good", "no whole answer in time",
                             "good", "refused", "good"}) {
        CAPTURE(next);
        place = seen.find(next, place);
        REQUIRE(place != std::string::npos);
    }
}

// A real drumwatch-sim over TCP, asked by a real libmodbus client.
#include <doctest/doctest.h>

#include <array>
#include <cerrno>
#include <chrono>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "bus_client.hpp"

using namespace drumwatch;
using namespace drumwatch::test;
using namespace std::chrono_literals;

namespace {

struct TruthFile {
    TruthFile() {
        char name[] = "/tmp/drumwatch-truth-XXXXXX";
        close(mkstemp(name));
        path = name;
    }
    ~TruthFile() { std::filesystem::remove(path); }
    std::string text() const {
        std::ostringstream out;
        out << std::ifstream(path).rdbuf();
        return out.str();
    }
    std::string path;
};

/// Steps the simulator until its status register says `status`; gives the time served with it.
std::int64_t step_until(BusClient& bus, int status) {
    for (int i = 0; i < 20000; ++i) {
        if (bus.status() == status) return bus.time_ms();
        bus.time_ms();
    }
    FAIL("the status never became " << status);
    return -1;
}

}  // namespace

TEST_CASE("Stepped time advances by one step for each answered read of the time") {
    ChildProcess sim(sim_command({"--stepped", "250", "--port", "0"}));
    BusClient bus(printed_port(sim));
    REQUIRE(bus.connect());
    CHECK(bus.time_ms() == 0);
    CHECK(bus.time_ms() == 250);
    CHECK(bus.holding(0, 6)[4] == 500);  // a read that covers the time counts as well
    CHECK(bus.time_ms() == 750);
    // Nothing else moves it: not the inputs, not half of the time, not the coils.
    const auto first = bus.inputs(0, 24);
    bus.holding(3, 1);
    bus.holding(4, 1);
    bus.write_coil(1, true);
    CHECK(bus.inputs(0, 24) == first);
    CHECK(bus.time_ms() == 1000);
    CHECK(bus.inputs(0, 24) != first);
}

TEST_CASE("A stepped roast over the bus is the same each time for a seed") {
    const auto roast = [](const std::string& seed) {
        ChildProcess sim(sim_command({"--stepped", "1000", "--seed", seed}));
        BusClient bus(printed_port(sim));
        REQUIRE(bus.connect());
        step_until(bus, 2);
        std::vector<std::uint16_t> curve;
        for (int i = 0; i < 400; ++i) {
            curve.push_back(bus.inputs(0, 1)[0]);
            bus.time_ms();
        }
        return curve;
    };
    const auto first = roast("5");
    CHECK(first == roast("5"));
    CHECK(first != roast("6"));
    CHECK(first[0] > 1800);
    CHECK(first[66] < 1000);
    CHECK(first[399] > 1600);
}

TEST_CASE("Several clients are served at once") {
    ChildProcess sim(sim_command({"--stepped", "100"}));
    const int port = printed_port(sim);
    std::array<std::unique_ptr<BusClient>, 5> clients;
    for (auto& client : clients) {
        client = std::make_unique<BusClient>(port);
        REQUIRE(client->connect());
    }
    std::int64_t expected_ms = 0;
    for (int round = 0; round < 3; ++round) {
        for (auto& client : clients) {
            CHECK(client->time_ms() == expected_ms);
            expected_ms += 100;
        }
    }
}

TEST_CASE("A client can set coils and nothing else") {
    TruthFile truth;
    ChildProcess sim(sim_command({"--stepped", "100", "--truth", truth.path}));
    BusClient bus(printed_port(sim));
    REQUIRE(bus.connect());
    for (int i = 0; i < 3; ++i) bus.time_ms();
    CHECK(bus.write_coil(0, true) == 1);
    CHECK(bus.write_coil(0, true) == 1);
    bus.time_ms();
    const std::array<std::uint8_t, 2> off_and_on{0, 1};
    CHECK(modbus_write_bits(bus.raw(), 0, 2, off_and_on.data()) == 2);
    std::array<std::uint8_t, 2> read{9, 9};
    CHECK(modbus_read_bits(bus.raw(), 0, 2, read.data()) == 2);
    CHECK(read == off_and_on);

    CHECK(modbus_write_register(bus.raw(), 0, 1000) == -1);
    CHECK(errno == EMBXILFUN);
    const std::array<std::uint16_t, 2> two{1, 2};
    CHECK(modbus_write_registers(bus.raw(), 3, 2, two.data()) == -1);
    CHECK(errno == EMBXILFUN);
    CHECK(bus.write_coil(20, true) == -1);
    CHECK(errno == EMBXILADD);
    bus.inputs(22, 3);
    CHECK(bus.result == -1);
    CHECK(errno == EMBXILADD);
    bus.holding(6, 1);
    CHECK(bus.result == -1);
    CHECK(bus.time_ms() == 400);  // and it still answers, unharmed

    sim.terminate();
    const std::string text = truth.text();
    CHECK(text.find("\"event\":\"coil\",\"sim_ms\":300,") != std::string::npos);
    CHECK(text.find("\"on\":true") != std::string::npos);
    CHECK(text.find("\"event\":\"coil\",\"sim_ms\":400,") != std::string::npos);
    CHECK(text.find("\"event\":\"end\"") != std::string::npos);
    CHECK(text.find("\"heartbeat_changes\":1}") != std::string::npos);
}

TEST_CASE("A finger on a button is seen on its discrete input, and the inputs themselves can't be set") {
    ChildProcess sim(sim_command({"--stepped", "100"}));
    BusClient bus(printed_port(sim));
    REQUIRE(bus.connect());
    std::array<std::uint8_t, 4> read{9, 9, 9, 9};
    const auto inputs = [&] {
        CHECK(modbus_read_input_bits(bus.raw(), 0, 4, read.data()) == 4);
        return read;
    };
    CHECK(inputs() == std::array<std::uint8_t, 4>{0, 0, 0, 0});
    CHECK(bus.write_coil(18, true) == 1);
    CHECK(inputs() == std::array<std::uint8_t, 4>{0, 0, 1, 0});
    CHECK(bus.write_coil(18, false) == 1);
    CHECK(inputs() == std::array<std::uint8_t, 4>{0, 0, 0, 0});
    CHECK(modbus_read_input_bits(bus.raw(), 4, 1, read.data()) == -1);
    CHECK(errno == EMBXILADD);
}

TEST_CASE("Another unit's request gets no answer") {
    ChildProcess sim(sim_command({"--stepped", "100"}));
    const int port = printed_port(sim);
    BusClient other(port, 2);
    REQUIRE(other.connect());
    other.set_timeout_ms(300);
    CHECK(other.time_ms() == -1);
    CHECK(errno == ETIMEDOUT);
    BusClient own(port);
    REQUIRE(own.connect());
    CHECK(own.time_ms() == 0);
}

TEST_CASE("Scaled time keeps to the steady clock times the speed") {
    ChildProcess sim(sim_command({"--speed", "20"}));
    BusClient bus(printed_port(sim));
    REQUIRE(bus.connect());
    const auto began = std::chrono::steady_clock::now();
    const std::int64_t first_ms = bus.time_ms();
    std::int64_t last_ms = first_ms;
    std::chrono::duration<double, std::milli> real{};
    while (last_ms - first_ms < 10000) {
        last_ms = bus.time_ms();
        real = std::chrono::steady_clock::now() - began;
        REQUIRE(real < 20s);
    }
    // Two-sided: neither faster nor slower than asked, beyond what a busy machine explains.
    CHECK(real.count() * 20.0 > static_cast<double>(last_ms - first_ms) - 100.0);
    CHECK(real.count() * 20.0 < static_cast<double>(last_ms - first_ms) + 6000.0);
}

TEST_CASE("Whole batches end by themselves with the truth in the file") {
    TruthFile truth;
    ChildProcess sim(sim_command({"--stepped", "1000", "--batches", "2", "--exit-after-batches", "--truth",
                                  truth.path, "--gap-s", "100"}));
    BusClient bus(printed_port(sim));
    REQUIRE(bus.connect());
    for (int i = 0; i < 6000 && bus.time_ms() >= 0; ++i) {
    }
    CHECK(sim.wait(10s) == 0);
    std::istringstream lines(truth.text());
    std::string names;
    for (std::string line; std::getline(lines, line);) {
        REQUIRE(line.rfind("{\"event\":\"", 0) == 0);
        const std::string name = line.substr(10, line.find('"', 10) - 10);
        if (name != "move" && name != "preheat" && name != "ready" && name != "turning_point")
            names += name + " ";
    }
    CHECK(names == "charge yellow first_crack drop charge cooled yellow first_crack drop cooled end ");
}

// The driver and its host against independent servers over TCP, as real processes: python3-pymodbus and
// jsmodbus (README.md).
#include <memory>
#include <tuple>

#include "independent_servers.hpp"

using namespace drumwatch;
using namespace drumwatch::independent;
using namespace std::chrono_literals;

namespace {

/// Every register of 16 and 32 bits that the servers hold; gives what they must be read as, in thousandths.
std::vector<Milli> add_every_type_and_order(BusConfig& bus, RegisterTable table) {
    std::vector<Milli> expected{-5'000, 6'548'600};
    add(bus, {0, table}, DataType::int16, WordOrder::abcd, 0.1);
    add(bus, {1, table}, DataType::uint16, WordOrder::abcd, 0.1);
    int address = 100;
    for (const auto& [type, scale, milli] :
         {std::tuple(DataType::float32, 1.0, 205'300), std::tuple(DataType::int32, 0.1, -125'000),
          std::tuple(DataType::uint32, 0.0001, 400'000'000)})
        for (const WordOrder order : {WordOrder::abcd, WordOrder::cdab, WordOrder::badc, WordOrder::dcba}) {
            add(bus, {address, table}, type, order, scale);
            expected.push_back(milli);
            address += 2;
        }
    return expected;
}

}  // namespace

TEST_CASE("an independent server's registers are read in every type order and table") {
    for (const Command& command : all_servers()) {
        CAPTURE(command.back());
        TcpServer server(command);
        for (const RegisterTable table : {RegisterTable::input, RegisterTable::holding}) {
            BusConfig bus = server.bus();
            const std::vector<Milli> expected = add_every_type_and_order(bus, table);
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
}

TEST_CASE("an independent server's exceptions blind only their own channels") {
    for (const Command& command : all_servers()) {
        CAPTURE(command.back());
        TcpServer server(command);
        BusConfig bus = server.bus();
        add(bus, {0});
        add(bus, {6});  // not there, in one read with 0 and 1: exception 2
        add(bus, {1}, DataType::uint16);
        add(bus, {666});  // the device fails: exception 4
        add(bus, {500});  // open probe
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
            REQUIRE(outcome.raws.size() == 5);
            for (std::size_t at = 0; at < 5; ++at) {
                const bool refused = outcome.readings[at].quality == Quality::bad_reply;
                CHECK((outcome.raws[at].fault == LinkFault::exception) == refused);
            }
        }
    }
}

TEST_CASE("a unit that an independent server does not have is silent and said to be") {
    for (const Command& command : all_servers()) {
        CAPTURE(command.back());
        TcpServer server(command);
        BusConfig bus = server.bus();
        bus.timeout_ms = 200;
        add(bus, {0, RegisterTable::input, 9});
        const auto driver = make_driver(bus, 1);
        REQUIRE(driver->open().ok());
        const PollOutcome outcome = driver->poll();
        CHECK(outcome.link == Link::down);
        CHECK(outcome.complaint == "no whole answer in time (unit 9, input register 0)");
    }
}

TEST_CASE("an independent server sees only the coils of the allow-list") {
    for (const Command& command : all_servers()) {
        CAPTURE(command.back());
        TcpServer server(command);
        BusConfig bus = server.bus();
        add(bus, {0});
        bus.writable_coils = {3, 77};  // the server has 3 and 4
        BusHost host(bus, 1);
        CHECK(write_coils(host, {{3, true}, {4, true}, {77, true}, {3, false}}) == 2);
        CHECK(server.process.read_line(10s) == "coil 3 1");
        CHECK(server.process.read_line(10s) == "coil 3 0");
        CHECK(host.counters().coil_refusals == 2);
    }
}

TEST_CASE("an independent server that is killed is missed and found again") {
    for (const Command& command : all_servers()) {
        CAPTURE(command.back());
        auto server = std::make_unique<TcpServer>(command);
        const std::uint16_t port = server->port;
        BusConfig bus = server->bus();
        add(bus, {0});
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
        server = std::make_unique<TcpServer>(command, port);
        CHECK(up_becomes(true));
        CHECK(host.counters().reconnects >= 1);
    }
}

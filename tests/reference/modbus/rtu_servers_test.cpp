// Modbus RTU against independent servers as real processes (README.md), over two pseudo-terminals that an
// independent program joins (socat).
#include "independent_servers.hpp"

using namespace drumwatch;
using namespace drumwatch::independent;
using namespace std::chrono_literals;

TEST_CASE("an independent RTU server's registers are read from two units in every order") {
    for (const Command& command : all_servers()) {
        CAPTURE(command.back());
        RtuServer server(command);
        for (const RegisterTable table : {RegisterTable::input, RegisterTable::holding}) {
            BusConfig bus = server.bus();
            add(bus, {0, table, 1});
            add(bus, {0, table, 2}, DataType::uint16);
            int address = 100;
            for (const WordOrder order :
                 {WordOrder::abcd, WordOrder::cdab, WordOrder::badc, WordOrder::dcba}) {
                add(bus, {address, table, 1}, DataType::float32, order);
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
}

TEST_CASE("an independent RTU server refuses what it has not and a unit that is not there is silent alone") {
    for (const Command& command : all_servers()) {
        CAPTURE(command.back());
        RtuServer server(command);
        BusConfig bus = server.bus();
        add(bus, {0});
        add(bus, {6});    // not there, in one read with 0: exception 2
        add(bus, {666});  // the device fails: exception 4
        add(bus, {0, RegisterTable::input, 2});
        add(bus, {0, RegisterTable::input, 9});  // nobody
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
}

TEST_CASE("an independent RTU server sees only the coils of the allow-list") {
    for (const Command& command : all_servers()) {
        CAPTURE(command.back());
        RtuServer server(command);
        BusConfig bus = server.bus();
        add(bus, {0});
        bus.writable_coils = {3};
        BusHost host(bus, 1);
        CHECK(write_coils(host, {{3, true}, {4, true}, {3, false}}) == 2);
        CHECK(server.process.read_line(10s) == "coil 3 1");
        CHECK(server.process.read_line(10s) == "coil 3 0");
    }
}

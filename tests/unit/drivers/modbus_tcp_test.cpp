// The Modbus TCP driver against a server that misbehaves on purpose, over real sockets. Every fault is
// noticed within its time, no wrong value comes out, and the next opening works.
#include <doctest/doctest.h>

#include <atomic>
#include <chrono>
#include <initializer_list>
#include <optional>

#include "driver_fixtures.hpp"
#include "drivers/driver.hpp"
#include "drivers/links/modbus_frame.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;

namespace {

constexpr std::int64_t kTimeoutMs = 500;
constexpr std::uint16_t kValue = 1234;

BusConfig bus_at(std::uint16_t port) {
    return modbus_bus(port, {modbus_channel(5, RegisterTable::input, 8)}, kTimeoutMs);
}

struct Took {
    PollOutcome outcome;
    std::chrono::milliseconds time;
};

Took timed_poll(Driver& driver) {
    const auto began = std::chrono::steady_clock::now();
    PollOutcome outcome = driver.poll();
    return {std::move(outcome),
            std::chrono::duration_cast<std::chrono::milliseconds>(std::chrono::steady_clock::now() - began)};
}

void check_good(const PollOutcome& outcome) {
    REQUIRE_MESSAGE(outcome.link == Link::up, outcome.complaint);
    REQUIRE(outcome.readings.size() == 1);
    CHECK(outcome.readings[0].channel == 5);
    CHECK(outcome.readings[0].quality == Quality::good);
    CHECK(outcome.readings[0].value_milli == kValue * 1000);
    CHECK(outcome.complaint.empty());
}

/// Set when the driver has given up the first request, so that "too late" does not depend on a busy machine.
std::atomic<bool> gave_up = false;
void wait_until_given_up(RawServer::Connection& connection) {
    while (!gave_up && connection.open()) connection.pause(1ms);
}

/// The first request is answered by `fault`, all others rightly.
void check_fault_and_recovery(const char* complaint, const RawServer::Script& fault,
                              std::optional<LinkFault> kind = std::nullopt) {
    gave_up = false;
    std::atomic<bool> first = true;
    RawServer server([&](RawServer::Connection& to, const Bytes& request) {
        if (first.exchange(false)) return fault(to, request);
        to.send(good_answer(request, kValue));
    });
    const auto driver = make_driver(bus_at(server.port()), 1);
    REQUIRE(driver->open().ok());
    const Took bad = timed_poll(*driver);
    gave_up = true;
    CHECK(bad.outcome.link == Link::down);
    CHECK(bad.outcome.readings.empty());
    CHECK_MESSAGE(bad.outcome.complaint.find(complaint) != std::string::npos, bad.outcome.complaint);
    if (kind) CHECK(bad.outcome.faults[static_cast<std::size_t>(*kind)] == 1);
    CHECK(bad.time < 4 * std::chrono::milliseconds(kTimeoutMs));
    CHECK(driver->poll().link == Link::down);  // it stays down until it is opened again
    REQUIRE(driver->open().ok());
    check_good(driver->poll());
    check_good(driver->poll());
    CHECK(server.requests().size() == 3);  // a new connection owes nothing, so nothing else is asked
}

Bytes changed(Bytes bytes, std::size_t at, std::uint8_t to) {
    bytes[at] = to;
    return bytes;
}

}  // namespace

TEST_CASE("silence is a link that is down and the next opening works") {
    check_fault_and_recovery("no whole answer in time", [](auto&, const Bytes&) {});
}

TEST_CASE("a late reply is not taken for the next answer") {
    check_fault_and_recovery("no whole answer in time", [](auto& to, const Bytes& request) {
        wait_until_given_up(to);
        to.send(good_answer(request, 999));
    });
}

TEST_CASE("a reply that drips in byte by byte has no more time than any other") {
    check_fault_and_recovery("no whole answer in time", [](auto& to, const Bytes& request) {
        Bytes answer = good_answer(request, 999);
        answer.pop_back();
        // A driver that gave each byte its own time would be held for ten times 0.4 s.
        for (const std::uint8_t byte : answer) {
            to.send({byte});
            for (int i = 0; i < 40 && !gave_up; ++i) to.pause(10ms);
        }
        wait_until_given_up(to);
    });
}

TEST_CASE("a reply in pieces within its time is good") {
    RawServer server([](RawServer::Connection& to, const Bytes& request) {
        for (const std::uint8_t byte : good_answer(request, kValue)) {
            to.send({byte});
            to.pause(2ms);
        }
    });
    BusConfig bus = bus_at(server.port());
    bus.timeout_ms = 20'000;  // a busy machine may take a while over eleven pieces
    const auto driver = make_driver(bus, 1);
    REQUIRE(driver->open().ok());
    check_good(driver->poll());
}

TEST_CASE("a short reply is a broken one") {
    check_fault_and_recovery("wrong length", [](auto& to, const Bytes& request) {
        Bytes answer = good_answer(request, 999);
        answer[8] = 0;
        answer.resize(answer.size() - 2);
        to.send(answer);
    });
    check_fault_and_recovery("wrong number of registers", [](auto& to, const Bytes& request) {
        Bytes answer = good_answer(request, 999);
        answer[8] = 0;
        answer[5] = 3;
        answer.resize(answer.size() - 2);
        to.send(answer);
    });
    check_fault_and_recovery("no whole answer in time", [](auto& to, const Bytes& request) {
        Bytes answer = good_answer(request, 999);
        answer.resize(answer.size() - 1);
        to.send(answer);
    });
}

TEST_CASE("a reply to another question or from another unit is a broken one") {
    check_fault_and_recovery("another question", [](auto& to, const Bytes& request) {
        to.send(changed(good_answer(request, 999), 1, 99));
    });
    check_fault_and_recovery("another unit", [](auto& to, const Bytes& request) {
        to.send(changed(good_answer(request, 999), 6, 7));
    });
    check_fault_and_recovery("another function", [](auto& to, const Bytes& request) {
        to.send(changed(good_answer(request, 999), 7, 3));
    });
    check_fault_and_recovery("another protocol", [](auto& to, const Bytes& request) {
        to.send(changed(good_answer(request, 999), 3, 1));
    });
}

TEST_CASE("each fault over TCP is counted as its kind") {
    check_fault_and_recovery(
        "", [](auto&, const Bytes&) {}, LinkFault::silent);
    check_fault_and_recovery(
        "", [](auto& to, const Bytes&) { to.send({0}); }, LinkFault::short_answer);
    check_fault_and_recovery(
        "", [](auto& to, const Bytes&) { to.close(); }, LinkFault::gone);
    const auto forged = [](std::size_t at, std::uint8_t value) {
        return [at, value](auto& to, const Bytes& request) {
            to.send(changed(good_answer(request, 999), at, value));
        };
    };
    check_fault_and_recovery("", forged(1, 99), LinkFault::wrong_question);
    check_fault_and_recovery("", forged(3, 1), LinkFault::wrong_question);
    check_fault_and_recovery("", forged(5, 4), LinkFault::wrong_length);
    check_fault_and_recovery("", forged(6, 7), LinkFault::wrong_unit);
    check_fault_and_recovery("", forged(7, 3), LinkFault::wrong_function);
}

TEST_CASE("a unit behind a gateway has its own time-out") {
    RawServer server([](RawServer::Connection& to, const Bytes& request) {
        if (request[6] == 2) to.pause(300ms);
        to.send(good_answer(request, kValue));
    });
    BusConfig bus = modbus_bus(server.port(), {modbus_channel(5, RegisterTable::input, 8)}, 100);
    bus.channels[0].modbus->unit_id = 2;
    const auto hasty = make_driver(bus, 1);
    REQUIRE(hasty->open().ok());
    CHECK(hasty->poll().link == Link::down);
    bus.units = {{2, 10'000, 0}};
    const auto patient = make_driver(bus, 1);
    REQUIRE(patient->open().ok());
    check_good(patient->poll());
}

TEST_CASE("garbage and a closed connection are noticed") {
    check_fault_and_recovery("", [](auto& to, const Bytes&) { to.send(Bytes(300, 0xA5)); });
    check_fault_and_recovery("", [](auto& to, const Bytes&) { to.send(from_hex("DE AD BE EF")); });
    check_fault_and_recovery("", [](auto& to, const Bytes&) { to.close(); });
}

TEST_CASE("two replies to one question spoil the stream and not a value") {
    std::atomic<bool> first = true;
    RawServer server([&](RawServer::Connection& to, const Bytes& request) {
        to.send(good_answer(request, kValue));
        if (first.exchange(false)) to.send(good_answer(request, 999));
    });
    const auto driver = make_driver(bus_at(server.port()), 1);
    REQUIRE(driver->open().ok());
    check_good(driver->poll());
    CHECK(driver->poll().link == Link::down);
    REQUIRE(driver->open().ok());
    check_good(driver->poll());
}

TEST_CASE("an exception of the device is a bad reply of its channels and the link stays up") {
    RawServer server([](RawServer::Connection& to, const Bytes& request) {
        to.send(request[7] == 4 ? refusal(request, 4) : good_answer(request, kValue));
    });
    BusConfig bus = bus_at(server.port());
    bus.channels.push_back(modbus_channel(6, RegisterTable::holding, 0));
    const auto driver = make_driver(bus, 1);
    REQUIRE(driver->open().ok());
    for (int i = 0; i < 2; ++i) {
        const PollOutcome outcome = driver->poll();
        REQUIRE(outcome.link == Link::up);
        REQUIRE(outcome.readings.size() == 2);
        CHECK(outcome.readings[0].quality == Quality::bad_reply);
        CHECK(outcome.readings[1].quality == Quality::good);
        CHECK(outcome.complaint == "unit 1 refuses input register 8: server device failure (exception 4)");
    }
    CHECK(server.connections() == 1);
}

TEST_CASE("one address that the device does not have blinds nobody else") {
    RawServer server([](RawServer::Connection& to, const Bytes& request) {
        const int from = request[9];
        const int end = from + request[11];
        to.send(from <= 3 && 3 < end ? refusal(request, 2) : good_answer(request, kValue));
    });
    BusConfig bus = modbus_bus(server.port(), {}, kTimeoutMs);
    for (const std::uint16_t address : std::initializer_list<std::uint16_t>{0, 1, 2, 3, 4, 6})
        bus.channels.push_back(
            modbus_channel(static_cast<std::uint8_t>(address), RegisterTable::input, address));
    const auto driver = make_driver(bus, 1);
    REQUIRE(driver->open().ok());
    for (int poll = 0; poll < 2; ++poll) {
        const std::size_t before = server.requests().size();
        const PollOutcome outcome = driver->poll();
        REQUIRE(outcome.readings.size() == 6);
        for (const Reading& reading : outcome.readings)
            CHECK((reading.quality == Quality::good) == (reading.channel != 3));
        if (poll == 1) CHECK(server.requests().size() - before <= 5);  // what was learned is kept
    }
}

// MODBUS Application Protocol Specification V1.1b3, section 6.2, the worked example: inputs 197 to 218
// (address 0x00C4 on) answered by AC DB 35.
TEST_CASE("discrete inputs are read as in the standard's example") {
    Bytes asked;
    RawServer server([&](RawServer::Connection& to, const Bytes& request) {
        asked = request;
        to.send({request[0], request[1], 0, 0, 0, 6, request[6], 2, 3, 0xAC, 0xDB, 0x35});
    });
    BusConfig bus = modbus_bus(server.port(), {}, kTimeoutMs);
    for (std::uint16_t i = 0; i < 22; ++i)
        bus.discrete_inputs.push_back({static_cast<std::uint16_t>(0xC4 + i), 1});
    const auto driver = make_driver(bus, 1);
    REQUIRE(driver->open().ok());
    const PollOutcome outcome = driver->poll();
    REQUIRE_MESSAGE(outcome.link == Link::up, outcome.complaint);
    CHECK(Bytes(asked.begin() + 7, asked.end()) == Bytes{0x02, 0x00, 0xC4, 0x00, 0x16});
    std::string bits;
    for (const InputLevel& level : outcome.inputs) {
        CHECK(level.input == bits.size());
        bits += level.on.value_or(false) ? '1' : '0';
    }
    CHECK(bits == "0011010111011011101011");  // AC, DB, 35, the lowest bit first
}

TEST_CASE("a discrete input that the device does not have is told as such, and its neighbours go on") {
    RawServer server([&](RawServer::Connection& to, const Bytes& request) {
        const int first = request[8] << 8 | request[9];
        const int count = request[10] << 8 | request[11];
        if (request[7] != 2) return to.send(good_answer(request, kValue));
        if (first + count > 8) return to.send(refusal(request, 2));
        to.send({request[0], request[1], 0, 0, 0, 4, request[6], 2, 1, 0x01});
    });
    BusConfig bus = bus_at(server.port());
    bus.discrete_inputs = {{0, 1}, {8, 1}};
    const auto driver = make_driver(bus, 1);
    REQUIRE(driver->open().ok());
    const PollOutcome outcome = driver->poll();
    REQUIRE(outcome.link == Link::up);
    REQUIRE(outcome.inputs.size() == 2);
    CHECK(outcome.inputs[0].on == true);
    CHECK(!outcome.inputs[1].on);
    CHECK(outcome.complaint.find("unit 1 refuses discrete input 8") == 0);
    REQUIRE(outcome.readings.size() == 1);
    CHECK(outcome.readings[0].quality == Quality::good);
}

TEST_CASE("nobody listening and a name that is none are said in a sentence") {
    std::uint16_t port = 0;
    {
        const RawServer gone([](RawServer::Connection&, const Bytes&) {});
        port = gone.port();
    }
    const auto driver = make_driver(bus_at(port), 1);
    const Result<Done> opened = driver->open();
    REQUIRE(!opened.ok());
    CHECK(opened.error() == "cannot connect to 127.0.0.1:" + std::to_string(port) + ": Connection refused");
    CHECK(driver->poll().link == Link::down);
    BusConfig nowhere = bus_at(502);
    nowhere.host = "no-such-host.invalid";  // RFC 6761: never resolves
    CHECK(!make_driver(nowhere, 1)->open().ok());
}

TEST_CASE("the time-out follows the speed but never falls below 50 ms") {
    RawServer server([](RawServer::Connection&, const Bytes&) {});
    BusConfig bus = bus_at(server.port());
    bus.timeout_ms = 4000;
    const auto time_of = [&](double speed) {
        const auto driver = make_driver(bus, speed);
        REQUIRE(driver->open().ok());
        return timed_poll(*driver).time;
    };
    const auto quarter = time_of(4);
    CHECK(quarter >= 999ms);
    CHECK(quarter < 3900ms);
    const auto least = time_of(1000);
    CHECK(least >= 49ms);
    CHECK(least < 900ms);
}

TEST_CASE("no half-baked bytes pass the check of an answer") {
    const ModbusQuestion question = read_question(1, RegisterTable::input, 0, 2);
    const TcpRequest request = tcp_request(7, question);
    const Bytes whole = good_answer(Bytes(request.begin(), request.end()), 5);
    CHECK(check_tcp_reply(7, question, whole).kind == ModbusReply::Kind::data);
    for (std::size_t length = 0; length < whole.size(); ++length)
        CHECK(check_tcp_reply(7, question, std::span(whole).first(length)).kind == ModbusReply::Kind::broken);
    for (std::size_t at = 0; at < 9; ++at)  // any other value of any header byte
        for (int bit = 0; bit < 8; ++bit) {
            Bytes wrong = whole;
            wrong[at] = static_cast<std::uint8_t>(wrong[at] ^ (1U << static_cast<unsigned>(bit)));
            CHECK(check_tcp_reply(7, question, wrong).kind == ModbusReply::Kind::broken);
        }
}

// The Modbus RTU driver on a real pseudo-terminal against units that misbehave on purpose. Every fault is
// told apart, no wrong value comes out, and one bad unit takes nothing from the others.
#include <doctest/doctest.h>

#include <atomic>
#include <chrono>

#include "driver_fixtures.hpp"
#include "drivers/driver.hpp"
#include "drivers/host.hpp"
#include "eventually.hpp"
#include "support/rtu_slave.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;

namespace {

constexpr std::int64_t kTimeoutMs = 500;
constexpr std::uint16_t kValue = 1234;

BusConfig bus_on(const std::string& device, std::vector<ChannelSource> channels) {
    BusConfig bus;
    bus.name = "line";
    bus.kind = BusKind::modbus_rtu;
    bus.device = device;
    bus.baud = 115200;
    bus.timeout_ms = kTimeoutMs;
    bus.channels = std::move(channels);
    return bus;
}

ChannelSource at_unit(std::uint8_t unit_id, std::uint8_t index, std::uint16_t address = 8) {
    ChannelSource channel = modbus_channel(index, RegisterTable::input, address);
    channel.modbus->unit_id = unit_id;
    return channel;
}

std::uint32_t counted(const PollOutcome& outcome, LinkFault fault) {
    return outcome.faults[static_cast<std::size_t>(fault)];
}

void check_good(const PollOutcome& outcome, std::size_t channels) {
    REQUIRE_MESSAGE(outcome.link == Link::up, outcome.complaint);
    REQUIRE(outcome.readings.size() == channels);
    for (const Reading& reading : outcome.readings) {
        CHECK_MESSAGE(reading.quality == Quality::good, outcome.complaint);
        CHECK(reading.value_milli == kValue * 1000);
    }
}

/// Unit 1 answers its first read by `fault` and all others rightly; unit 2 always rightly.
void check_fault(LinkFault kind, const char* complaint, const RtuSlave::Script& fault) {
    std::atomic<bool> first = true;
    RtuSlave slave([&](RtuSlave::Line& line, const Bytes& request) {
        if (request[0] == 1 && first.exchange(false)) return fault(line, request);
        line.send(rtu_answer(request, kValue));
    });
    const auto driver = make_driver(bus_on(slave.path(), {at_unit(1, 5), at_unit(2, 6)}), 1);
    REQUIRE(driver->open().ok());
    const PollOutcome bad = driver->poll();
    REQUIRE_MESSAGE(bad.link == Link::up, bad.complaint);
    REQUIRE(bad.readings.size() == 2);
    REQUIRE(bad.raws.size() == 2);
    CHECK(bad.readings[0].quality == Quality::bad_reply);
    CHECK(bad.raws[0].fault == kind);
    CHECK(bad.readings[1].quality == Quality::good);
    CHECK(bad.readings[1].value_milli == kValue * 1000);
    CHECK_MESSAGE(counted(bad, kind) == 1, bad.complaint);
    CHECK_MESSAGE(bad.complaint.find(complaint) != std::string::npos, bad.complaint);
    CHECK_MESSAGE(bad.complaint.find("unit 1") != std::string::npos, bad.complaint);
    PollOutcome good;
    CHECK(eventually([&] { return (good = driver->poll()).complaint.empty(); }));
    check_good(good, 2);
}

Bytes changed(Bytes bytes, std::size_t at, std::uint8_t to) {
    bytes[at] = to;
    return bytes;
}

/// The answer with one byte changed and a CRC that is right again.
Bytes forged(const Bytes& request, std::size_t at, std::uint8_t to) {
    Bytes bytes = changed(rtu_answer(request, 999), at, to);
    bytes.resize(bytes.size() - 2);
    return with_crc(std::move(bytes));
}

}  // namespace

TEST_CASE("registers of several units are read over one line") {
    RtuSlave slave([](RtuSlave::Line& line, const Bytes& request) {
        line.send(rtu_answer(request, static_cast<std::uint16_t>(request[0] * 100 + request[1])));
    });
    BusConfig bus = bus_on(slave.path(), {at_unit(1, 0), at_unit(7, 1), at_unit(247, 2)});
    bus.channels.push_back(modbus_channel(3, RegisterTable::holding, 0));
    const auto driver = make_driver(bus, 1);
    REQUIRE(driver->open().ok());
    for (int i = 0; i < 3; ++i) {
        const PollOutcome outcome = driver->poll();
        REQUIRE_MESSAGE(outcome.link == Link::up, outcome.complaint);
        REQUIRE(outcome.readings.size() == 4);
        for (std::size_t at = 0; at < 4; ++at) {
            const Reading& reading = outcome.readings[at];
            constexpr Milli kExpected[] = {104'000, 704'000, 24'704'000, 103'000};
            CHECK(reading.quality == Quality::good);
            CHECK(reading.value_milli == kExpected[reading.channel]);
            CHECK(outcome.raws[at].kind == RawValue::Kind::one_word);
            CHECK(outcome.raws[at].words[0] == kExpected[reading.channel] / 1000);
        }
    }
    const Bytes first = slave.requests().at(0);
    CHECK(first == with_crc(Bytes(first.begin(), first.end() - 2)));
}

TEST_CASE("each fault of an RTU answer is told apart and leaves the other unit alone") {
    check_fault(LinkFault::silent, "no answer in time", [](auto&, const Bytes&) {});
    check_fault(LinkFault::short_answer, "no whole answer in time", [](auto& line, const Bytes& request) {
        Bytes answer = rtu_answer(request, 999);
        answer.resize(answer.size() - 1);
        line.send(answer);
    });
    check_fault(LinkFault::bad_crc, "wrong checksum", [](auto& line, const Bytes& request) {
        line.send(changed(rtu_answer(request, 999), 3, 0x55));
    });
    check_fault(LinkFault::bad_crc, "wrong checksum", [](auto& line, const Bytes& request) {
        line.send(changed(rtu_answer(request, 999), 2, 0x77));  // its length was changed on the way
    });
    check_fault(LinkFault::wrong_unit, "another unit",
                [](auto& line, const Bytes& request) { line.send(forged(request, 0, 9)); });
    check_fault(LinkFault::wrong_function, "another function",
                [](auto& line, const Bytes& request) { line.send(forged(request, 1, 3)); });
    check_fault(LinkFault::wrong_length, "wrong number of registers",
                [](auto& line, const Bytes& request) { line.send(rtu_answer(changed(request, 5, 2), 999)); });
    check_fault(LinkFault::exception, "illegal data value (exception 3)",
                [](auto& line, const Bytes& request) { line.send(rtu_refusal(request, 3)); });
    check_fault(LinkFault::bad_crc, "", [](auto& line, const Bytes&) { line.send(Bytes(300, 0xA5)); });
}

TEST_CASE("an RTU answer in pieces within its time is good") {
    RtuSlave slave([](RtuSlave::Line& line, const Bytes& request) {
        for (const std::uint8_t byte : rtu_answer(request, kValue)) {
            line.send({byte});
            line.pause(3ms);
        }
    });
    BusConfig bus = bus_on(slave.path(), {at_unit(1, 0)});
    bus.timeout_ms = 10'000;
    const auto driver = make_driver(bus, 1);
    REQUIRE(driver->open().ok());
    check_good(driver->poll(), 1);
}

TEST_CASE("a late answer of the same unit and length is never taken for the next one") {
    // A device that answers each question of its life in order, the first ones after their time.
    std::atomic<int> asked = 0;
    RtuSlave slave([&](RtuSlave::Line& line, const Bytes& request) {
        const int number = ++asked;
        if (number <= 2) line.pause(std::chrono::milliseconds(kTimeoutMs * 3 / 2));
        line.send(rtu_answer(request, number <= 2 ? std::uint16_t{999} : kValue));
    });
    const auto driver = make_driver(bus_on(slave.path(), {at_unit(1, 0)}), 1);
    std::uint32_t late = 0;
    bool good = false;
    const auto until = std::chrono::steady_clock::now() + 20s;
    while (!good && std::chrono::steady_clock::now() < until) {
        PollOutcome outcome = driver->poll();
        if (outcome.link == Link::down) REQUIRE(driver->open().ok());
        late += counted(outcome, LinkFault::late);
        for (const Reading& reading : outcome.readings) {
            if (!is_good(reading.quality)) continue;
            CHECK(reading.value_milli == kValue * 1000);
            good = true;
        }
    }
    CHECK(good);
    CHECK(late >= 1);
}

TEST_CASE("a late answer that comes while another unit is asked is skipped and that unit's own taken") {
    std::atomic<bool> first = true;
    Bytes held;
    RtuSlave slave([&](RtuSlave::Line& line, const Bytes& request) {
        if (request[0] == 1 && first.exchange(false)) {
            held = rtu_answer(request, 999);
            return;
        }
        if (request[0] == 2 && !held.empty()) line.send(std::exchange(held, {}));
        line.send(rtu_answer(request, kValue));
    });
    const auto driver = make_driver(bus_on(slave.path(), {at_unit(1, 0), at_unit(2, 1)}), 1);
    REQUIRE(driver->open().ok());
    const PollOutcome outcome = driver->poll();
    REQUIRE(outcome.readings.size() == 2);
    CHECK(outcome.readings[0].quality == Quality::bad_reply);
    CHECK(outcome.readings[1].quality == Quality::good);
    CHECK(outcome.readings[1].value_milli == kValue * 1000);
    CHECK(counted(outcome, LinkFault::late) == 1);
    check_good(driver->poll(), 2);
}

TEST_CASE("a dead unit is asked less and less and the others go on") {
    RtuSlave slave([](RtuSlave::Line& line, const Bytes& request) {
        if (request[0] == 2) line.send(rtu_answer(request, kValue));
    });
    BusConfig bus = bus_on(slave.path(), {at_unit(2, 1), at_unit(3, 2)});
    bus.units = {{3, 100, 0}};
    const auto driver = make_driver(bus, 1);
    REQUIRE(driver->open().ok());
    const auto end = std::chrono::steady_clock::now() + 2s;
    int polls = 0;
    bool told_when = false;
    while (std::chrono::steady_clock::now() < end) {
        const PollOutcome outcome = driver->poll();
        ++polls;
        REQUIRE(outcome.link == Link::up);
        REQUIRE(outcome.readings.size() == 2);
        CHECK(outcome.readings[0].quality == Quality::good);
        CHECK(outcome.readings[1].quality == Quality::bad_reply);
        CHECK(outcome.raws[1].fault == LinkFault::silent);
        told_when = told_when || outcome.complaint.find("unit 3 does not answer and is asked again in") == 0;
        std::this_thread::sleep_for(5ms);
    }
    std::size_t dead = 0;
    for (const Bytes& request : slave.requests()) dead += request[0] == 3 ? 1 : 0;
    CHECK(told_when);
    CHECK(polls > 40);
    CHECK(dead >= 3);
    CHECK(dead <= 6);  // 0.1 s each with rests of 0, 0.2, 0.4, 0.8 and 1.6 s
}

TEST_CASE("only when no unit answers is the line down") {
    std::atomic<bool> silent = true;
    RtuSlave slave([&](RtuSlave::Line& line, const Bytes& request) {
        if (!silent) line.send(rtu_answer(request, kValue));
    });
    BusConfig bus = bus_on(slave.path(), {at_unit(1, 0), at_unit(2, 1)});
    bus.timeout_ms = 80;
    const auto driver = make_driver(bus, 1);
    for (int i = 0; i < 3; ++i) {
        REQUIRE(driver->open().ok());
        const PollOutcome outcome = driver->poll();
        CHECK(outcome.link == Link::down);
        CHECK(outcome.readings.empty());
        CHECK(counted(outcome, LinkFault::silent) == 2);
    }
    silent = false;
    REQUIRE(driver->open().ok());
    check_good(driver->poll(), 2);
}

TEST_CASE("a unit has its own time-out and its pause") {
    RtuSlave slave([](RtuSlave::Line& line, const Bytes& request) {
        if (request[0] == 1) line.pause(250ms);
        line.send(rtu_answer(request, kValue));
    });
    BusConfig bus = bus_on(slave.path(), {at_unit(1, 0), at_unit(2, 1)});
    bus.timeout_ms = 100;
    bus.units = {{1, 5000, 0}, {2, std::nullopt, 120}};
    const auto driver = make_driver(bus, 1);
    REQUIRE(driver->open().ok());
    check_good(driver->poll(), 2);
    bus.channels.erase(bus.channels.begin());
    driver->close();
    const auto second = make_driver(bus, 1);
    REQUIRE(second->open().ok());
    const std::size_t before = slave.times().size();
    for (int i = 0; i < 3; ++i) check_good(second->poll(), 1);
    const auto times = slave.times();
    for (std::size_t i = before + 1; i < times.size(); ++i) CHECK(times[i] - times[i - 1] >= 119ms);
}

TEST_CASE("between two frames the line is silent for three and a half characters") {
    RtuSlave slave(
        [](RtuSlave::Line& line, const Bytes& request) { line.send(rtu_answer(request, kValue)); });
    BusConfig bus = bus_on(slave.path(), {at_unit(1, 0)});
    bus.baud = 2400;
    const auto driver = make_driver(bus, 1);
    REQUIRE(driver->open().ok());
    for (int i = 0; i < 5; ++i) check_good(driver->poll(), 1);
    const auto times = slave.times();
    for (std::size_t i = 1; i < times.size(); ++i) CHECK(times[i] - times[i - 1] >= 16ms);
}

TEST_CASE("a coil on an RTU line is written and its echo taken") {
    std::atomic<int> mode = 0;
    RtuSlave slave([&](RtuSlave::Line& line, const Bytes& request) {
        if (request[1] != 5) return line.send(rtu_answer(request, kValue));
        if (mode == 0) line.send(request);
        if (mode == 1) line.send(rtu_refusal(request, 2));
    });
    const auto driver = make_driver(bus_on(slave.path(), {at_unit(4, 0)}), 1);
    REQUIRE(driver->open().ok());
    const AllowedCoil coil = WriteList({172}).find(172).value();
    CHECK(driver->write_coil(coil, true).ok());
    CHECK(slave.requests().at(0) == with_crc({4, 5, 0, 172, 0xFF, 0}));
    mode = 1;
    CHECK(driver->write_coil(coil, false).error() ==
          "the device refuses coil 172: illegal data address (exception 2)");
    mode = 2;
    CHECK(driver->write_coil(coil, false).error() == "no answer in time");
    const PollOutcome outcome = driver->poll();
    check_good(outcome, 1);
    CHECK(counted(outcome, LinkFault::silent) == 1);
    CHECK(counted(outcome, LinkFault::exception) == 1);
}

TEST_CASE("a host writes only allowed coils to an RTU line") {
    RtuSlave slave(
        [](RtuSlave::Line& line, const Bytes& request) { line.send(rtu_answer(request, kValue)); });
    BusConfig bus = bus_on(slave.path(), {at_unit(1, 0)});
    bus.writable_coils = {3};
    BusHost host(bus, 1);
    std::atomic<int> written = 0;
    std::atomic<int> answered = 0;
    for (const std::uint16_t address : std::initializer_list<std::uint16_t>{3, 4})
        host.request_coil(address, true, [&](bool ok) {
            written += ok ? 1 : 0;
            ++answered;
        });
    CHECK(eventually([&] { return answered == 2; }));
    CHECK(written == 1);
    host.stop();
    CHECK(slave.requests().size() == 1);
}

// Every byte of a link is told, noise and late answers too, and nothing else: held against what the devices
// at the other end sent and got.
#include <doctest/doctest.h>

#include <atomic>
#include <chrono>
#include <mutex>

#include "driver_fixtures.hpp"
#include "drivers/driver.hpp"
#include "drivers/host.hpp"
#include "drivers/links/write_list.hpp"
#include "eventually.hpp"
#include "support/rtu_slave.hpp"
#include "support/terminal.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;

namespace {

struct Heard {
    Bytes sent;
    Bytes received;
    int pieces = 0;
    ByteTap tap() {
        return [this](ByteWay way, std::span<const std::uint8_t> bytes) {
            CHECK(!bytes.empty());
            Bytes& all = way == ByteWay::sent ? sent : received;
            all.insert(all.end(), bytes.begin(), bytes.end());
            ++pieces;
        };
    }
};

void add_to(Bytes& all, const Bytes& more) { all.insert(all.end(), more.begin(), more.end()); }

/// What a device has said: written by its thread, read by the test's.
class Said {
  public:
    void add(const Bytes& more) {
        const std::scoped_lock lock(mutex_);
        add_to(all_, more);
    }
    Bytes all() const {
        const std::scoped_lock lock(mutex_);
        return all_;
    }

  private:
    mutable std::mutex mutex_;
    Bytes all_;
};

Bytes all_of(const std::vector<Bytes>& frames) {
    Bytes all;
    for (const Bytes& frame : frames) add_to(all, frame);
    return all;
}

BusConfig rtu_bus(const std::string& device, std::vector<ChannelSource> channels) {
    BusConfig bus = modbus_bus(0, std::move(channels), 200);
    bus.kind = BusKind::modbus_rtu;
    bus.device = device;
    return bus;
}

BusConfig text_bus(const std::string& device) {
    BusConfig bus;
    bus.name = "line";
    bus.kind = BusKind::serial_text;
    bus.device = device;
    bus.timeout_ms = 5000;
    bus.channels = {text_channel(0, 1)};
    return bus;
}

}  // namespace

TEST_CASE("questions, answers and half an answer of a TCP device are told byte for byte") {
    Said answered;
    std::atomic<int> asked = 0;
    RawServer server([&](RawServer::Connection& connection, const Bytes& request) {
        Bytes answer = good_answer(request, 1234);
        if (++asked == 2) answer.resize(5);
        answered.add(answer);
        connection.send(answer);
    });
    Heard heard;
    const BusConfig bus = modbus_bus(server.port(), {modbus_channel(0, RegisterTable::input, 8)}, 200);
    const auto driver = make_driver(bus, 1, heard.tap());
    REQUIRE(driver->open().ok());
    CHECK(heard.pieces == 0);
    CHECK(driver->poll().link == Link::up);
    CHECK(heard.pieces == 2);
    CHECK(driver->poll().link == Link::down);
    CHECK(heard.sent == all_of(server.requests()));
    CHECK(heard.received == answered.all());
    CHECK(heard.received.size() == 11 + 5);
}

TEST_CASE("a coil's bytes are told as well, and a refused connection has none") {
    RawServer server([](RawServer::Connection& connection, const Bytes& request) {
        connection.send(good_answer(request, 1));
    });
    Heard heard;
    BusConfig bus = modbus_bus(server.port(), {modbus_channel(0, RegisterTable::input, 8)});
    bus.writable_coils = {4};
    const auto driver = make_driver(bus, 1, heard.tap());
    REQUIRE(driver->open().ok());
    REQUIRE(driver->write_coil(*WriteList(bus.writable_coils).find(4), true).ok());
    CHECK(heard.sent == all_of(server.requests()));
    CHECK(heard.received == heard.sent);  // its echo

    Heard nothing;
    const auto alone = make_driver(modbus_bus(1, bus.channels), 1, nothing.tap());
    CHECK(!alone->open().ok());
    CHECK(alone->poll().link == Link::down);
    CHECK(nothing.pieces == 0);
}

TEST_CASE("on a serial line noise, damaged frames, half and late answers are told too") {
    Said said;
    std::atomic<int> asked = 0;
    RtuSlave slave([&](RtuSlave::Line& line, const Bytes& request) {
        Bytes answer = rtu_answer(request, 1234);
        const int now = ++asked;
        if (now == 2) answer.back() ^= 1U;              // a wrong CRC
        if (now == 3) add_to(answer, {0xde, 0xad, 0});  // and noise behind the answer
        if (now == 5) line.pause(300ms);                // too late
        if (now == 8) answer.resize(3);                 // half of it
        said.add(answer);
        line.send(answer);
    });
    Heard heard;
    const auto driver =
        make_driver(rtu_bus(slave.path(), {modbus_channel(0, RegisterTable::input, 8)}), 1, heard.tap());
    REQUIRE(driver->open().ok());
    const auto end = std::chrono::steady_clock::now() + 60s;
    // Never opened anew: what waits in a port when it is opened is thrown away unseen.
    while (asked < 11 && std::chrono::steady_clock::now() < end) {
        driver->poll();
        std::this_thread::sleep_for(5ms);
    }
    CHECK(heard.sent == all_of(slave.requests()));
    CHECK(heard.received == said.all());
}

TEST_CASE("a text line's bytes are told as they come, with the command that asked for them") {
    Terminal terminal;
    Heard heard;
    const auto driver = make_driver(text_bus(terminal.path()), 1, heard.tap());
    REQUIRE(driver->open().ok());
    const std::string text("7.4\r\n205.3\r\n\xff\x00no end", 20);
    terminal.say(text);
    CHECK(eventually([&] {
        driver->poll();
        return heard.received.size() >= text.size();
    }));
    CHECK(heard.received == Bytes(text.begin(), text.end()));
    CHECK(heard.sent.empty());

    Terminal asked;
    Heard by_command;
    BusConfig bus = text_bus(asked.path());
    bus.poll = "READ\r\n";
    bus.timeout_ms = 100;
    const auto asking = make_driver(bus, 1, by_command.tap());
    REQUIRE(asking->open().ok());
    CHECK(asking->poll().link == Link::down);
    CHECK(by_command.sent == Bytes(bus.poll.begin(), bus.poll.end()));
    CHECK(by_command.received.empty());
}

TEST_CASE("a host hands its tap on to the driver") {
    RawServer server([](RawServer::Connection& connection, const Bytes& request) {
        connection.send(good_answer(request, 1234));
    });
    std::atomic<std::size_t> bytes = 0;
    BusHost host(modbus_bus(server.port(), {modbus_channel(0, RegisterTable::input, 8)}), 1, {},
                 [&](ByteWay, std::span<const std::uint8_t> piece) { bytes += piece.size(); });
    CHECK(eventually([&] {
        host.request_poll([](const PollOutcome&) {});
        return bytes >= 23;
    }));
    host.stop();
    CHECK(bytes % 23 == 0);
}

// The bus host with a real driver on a real socket: hand-over, coils and their allow-list, reconnection, the
// end.
#include "drivers/host.hpp"

#include <doctest/doctest.h>

#include <atomic>
#include <chrono>
#include <future>
#include <memory>
#include <mutex>

#include "driver_fixtures.hpp"
#include "eventually.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;

namespace {

constexpr std::uint16_t kValue = 77;

/// A device that can be told to be silent.
struct Device {
    std::atomic<bool> silent = false;
    RawServer server{[this](RawServer::Connection& to, const Bytes& request) {
        if (!silent) to.send(good_answer(request, kValue));
    }};
    /// "coil=1" for each coil written, in order.
    std::vector<std::string> coils() const {
        std::vector<std::string> written;
        for (const Bytes& request : server.requests())
            if (request[7] == 5)
                written.push_back(std::to_string(request[9]) + "=" + (request[10] == 0xFF ? "1" : "0"));
        return written;
    }
};

BusConfig bus_of(const Device& device) {
    BusConfig bus = modbus_bus(device.server.port(), {modbus_channel(0, RegisterTable::input, 0)}, 5000);
    bus.writable_coils = {0, 1};
    return bus;
}

/// One poll through the host; Link::down when the host refuses one for good.
PollOutcome poll(BusHost& host) {
    auto promise = std::make_shared<std::promise<PollOutcome>>();
    std::future<PollOutcome> result = promise->get_future();
    const auto ask = [&] {
        return host.request_poll([promise](PollOutcome outcome) { promise->set_value(std::move(outcome)); });
    };
    if (!eventually(ask)) return {};
    return result.get();
}

std::future<bool> ask_coil(BusHost& host, std::uint16_t address, bool on) {
    auto promise = std::make_shared<std::promise<bool>>();
    host.request_coil(address, on, [promise](bool written) { promise->set_value(written); });
    return promise->get_future();
}

}  // namespace

TEST_CASE("a host polls when asked and counts") {
    Device device;
    BusHost host(bus_of(device), 1);
    for (int i = 0; i < 3; ++i) {
        const PollOutcome outcome = poll(host);
        REQUIRE(outcome.link == Link::up);
        REQUIRE(outcome.readings.size() == 1);
        CHECK(outcome.readings[0].value_milli == kValue * 1000);
    }
    const BusCounters counters = host.counters();
    CHECK(counters.up);
    CHECK(counters.polls == 3);
    CHECK(counters.failures == 0);
    CHECK(counters.reconnects == 0);
    CHECK(counters.last_round_trip_us > 0);
    CHECK(counters.worst_round_trip_us >= counters.last_round_trip_us);
    CHECK(host.config().name == "machine");
}

TEST_CASE("a second poll is refused while one runs") {
    std::promise<void> release;
    std::shared_future<void> released = release.get_future().share();
    RawServer server([&](RawServer::Connection& to, const Bytes& request) {
        released.wait();
        to.send(good_answer(request, kValue));
    });
    BusHost host(modbus_bus(server.port(), {modbus_channel(0, RegisterTable::input, 0)}, 30'000), 1);
    std::promise<PollOutcome> first;
    REQUIRE(eventually([&] {
        return host.request_poll([&](PollOutcome outcome) { first.set_value(std::move(outcome)); });
    }));
    REQUIRE(eventually([&] { return server.requests().size() == 1; }));
    CHECK(!host.request_poll([](PollOutcome) {}));
    release.set_value();
    CHECK(first.get_future().get().link == Link::up);
    CHECK(poll(host).link == Link::up);
}

TEST_CASE("only a coil of the allow-list reaches the wire") {
    Device device;
    BusHost host(bus_of(device), 1);
    CHECK(ask_coil(host, 0, true).get());
    CHECK(!ask_coil(host, 2, true).get());
    CHECK(!ask_coil(host, 256, false).get());  // its low byte is that of coil 0
    CHECK(ask_coil(host, 1, false).get());
    CHECK(device.coils() == std::vector<std::string>{"0=1", "1=0"});
    CHECK(host.counters().coil_writes == 2);
    CHECK(host.counters().coil_refusals == 2);
}

TEST_CASE("of all 65536 addresses only those of the allow-list reach the wire") {
    Device device;
    BusHost host(bus_of(device), 1);
    CHECK(poll(host).link == Link::up);
    const std::size_t before = device.server.requests().size();
    std::atomic<int> written = 0;
    std::atomic<int> refused = 0;
    for (int address = 0; address <= 0xFFFF; ++address) {
        if (address < 2) continue;
        host.request_coil(static_cast<std::uint16_t>(address), true,
                          [&](bool done) { ++(done ? written : refused); });
    }
    CHECK(eventually([&] { return refused == 0xFFFE; }));
    CHECK(written == 0);
    CHECK(device.server.requests().size() == before);  // not a byte
    CHECK(ask_coil(host, 0, true).get());
    CHECK(ask_coil(host, 1, true).get());
    CHECK(device.coils() == std::vector<std::string>{"0=1", "1=1"});
    CHECK(host.counters().coil_refusals == 0xFFFE);
}

TEST_CASE("an empty allow-list writes nothing") {
    Device device;
    BusConfig bus = bus_of(device);
    bus.writable_coils.clear();
    BusHost host(bus, 1);
    CHECK(!ask_coil(host, 0, true).get());
    CHECK(poll(host).link == Link::up);
    CHECK(device.coils().empty());
}

TEST_CASE("a coil that the device refuses is told so and the link stays") {
    RawServer server([](RawServer::Connection& to, const Bytes& request) {
        to.send(request[7] == 5 ? refusal(request, 2) : good_answer(request, kValue));
    });
    BusConfig bus = modbus_bus(server.port(), {modbus_channel(0, RegisterTable::input, 0)});
    bus.writable_coils = {9};
    BusHost host(bus, 1);
    CHECK(!ask_coil(host, 9, true).get());
    CHECK(host.counters().complaint == "the device refuses coil 9: illegal data address (exception 2)");
    CHECK(poll(host).link == Link::up);
    CHECK(server.connections() == 1);
}

TEST_CASE("the newest value of a waiting coil wins and the older one is told") {
    std::promise<void> release;
    std::shared_future<void> released = release.get_future().share();
    std::vector<int> written;
    std::mutex mutex;
    RawServer server([&](RawServer::Connection& to, const Bytes& request) {
        if (request[7] == 4) released.wait();
        if (request[7] == 5) {
            const std::lock_guard lock(mutex);
            written.push_back(request[10] == 0xFF ? 1 : 0);
        }
        to.send(good_answer(request, kValue));
    });
    BusConfig bus = modbus_bus(server.port(), {modbus_channel(0, RegisterTable::input, 0)}, 30'000);
    bus.writable_coils = {0};
    BusHost host(bus, 1);
    REQUIRE(eventually([&] { return host.request_poll([](PollOutcome) {}); }));
    REQUIRE(eventually([&] { return server.requests().size() == 1; }));
    std::future<bool> older = ask_coil(host, 0, true);
    std::future<bool> newer = ask_coil(host, 0, false);
    release.set_value();
    CHECK(!older.get());
    CHECK(newer.get());
    const std::lock_guard lock(mutex);
    CHECK(written == std::vector<int>{0});
}

TEST_CASE("a silent device is found down and found again by itself") {
    Device device;
    BusConfig bus = bus_of(device);
    bus.timeout_ms = 2000;
    BusHost host(bus, 4);
    REQUIRE(poll(host).link == Link::up);
    device.silent = true;
    const PollOutcome lost = poll(host);
    CHECK(lost.link == Link::down);
    CHECK(lost.readings.empty());
    CHECK(!host.counters().up);
    CHECK(host.counters().failures == 1);
    device.silent = false;
    CHECK(poll(host).link == Link::up);
    CHECK(host.counters().up);
    CHECK(host.counters().reconnects == 1);
}

TEST_CASE("pauses grow and are bounded") {
    std::uint16_t port = 0;
    {
        const RawServer gone([](RawServer::Connection&, const Bytes&) {});
        port = gone.port();
    }
    // At a twentieth of real time the first pause takes five seconds.
    BusHost host(modbus_bus(port, {modbus_channel(0, RegisterTable::input, 0)}), 0.05);
    REQUIRE(eventually([&] { return !host.counters().complaint.empty(); }));
    CHECK(!host.counters().up);
    CHECK(!host.request_poll([](PollOutcome) {}));
    const auto began = std::chrono::steady_clock::now();
    host.stop();  // ends a pause
    CHECK(std::chrono::steady_clock::now() - began < 2s);

    // A device that takes every connection and closes it: counted over a second at speed 1, the pauses of
    // 0.25 and 0.5 s leave room for two or three connections, not for a storm.
    RawServer closer([](RawServer::Connection& to, const Bytes&) { to.close(); });
    BusHost storm(modbus_bus(closer.port(), {modbus_channel(0, RegisterTable::input, 0)}), 1);
    const auto until = std::chrono::steady_clock::now() + 1s;
    while (std::chrono::steady_clock::now() < until) {
        storm.request_poll([](PollOutcome) {});
        std::this_thread::sleep_for(5ms);
    }
    CHECK(closer.connections() >= 2);
    CHECK(closer.connections() <= 4);
}

TEST_CASE("stop writes the coils that wait and answers everybody") {
    Device device;
    std::future<bool> written;
    std::future<bool> not_allowed;
    std::atomic<int> polled = 0;
    {
        BusHost host(bus_of(device), 1);
        REQUIRE(eventually([&] { return host.request_poll([&](PollOutcome) { ++polled; }); }));
        written = ask_coil(host, 0, false);
        not_allowed = ask_coil(host, 5, false);
        host.stop();
        host.stop();
        CHECK(!host.request_poll([](PollOutcome) {}));
    }
    CHECK(polled == 1);
    REQUIRE(written.wait_for(0s) == std::future_status::ready);
    REQUIRE(not_allowed.wait_for(0s) == std::future_status::ready);
    CHECK(written.get());
    CHECK(!not_allowed.get());
    CHECK(device.coils() == std::vector<std::string>{"0=0"});
}

TEST_CASE("stop with a dead device is bounded and answers everybody") {
    Device device;
    BusConfig bus = bus_of(device);
    bus.timeout_ms = 300;
    device.silent = true;
    BusHost host(bus, 1);
    std::promise<Link> link;
    REQUIRE(eventually(
        [&] { return host.request_poll([&](PollOutcome outcome) { link.set_value(outcome.link); }); }));
    std::future<bool> one = ask_coil(host, 0, true);
    std::future<bool> two = ask_coil(host, 1, true);
    const auto began = std::chrono::steady_clock::now();
    host.stop();
    CHECK(std::chrono::steady_clock::now() - began < 1500ms);
    CHECK(link.get_future().get() == Link::down);
    CHECK(!one.get());
    CHECK(!two.get());
}

// Faults of the bus itself. Time runs (stepped time would stand still), so these watch for a change with a
// deadline.
#include <doctest/doctest.h>

#include <array>
#include <cerrno>
#include <chrono>
#include <functional>

#include "bus_client.hpp"

using namespace drumwatch;
using namespace drumwatch::test;
using namespace std::chrono_literals;

namespace {

using SteadyClock = std::chrono::steady_clock;

/// Tries again until `seen` says so; false when the deadline comes first.
bool comes_true(const std::function<bool()>& seen) {
    const auto deadline = SteadyClock::now() + 30s;
    while (SteadyClock::now() < deadline) {
        if (seen()) return true;
    }
    return false;
}

/// A simulator at full speed; the first charge comes after about two real seconds.
std::vector<std::string> with_fault(const std::string& fault) {
    return sim_command({"--speed", "50", "--fault", fault});
}

bool reconnected(int port) {
    BusClient probe(port);
    probe.set_timeout_ms(200);
    return probe.connect() && probe.time_ms() >= 0;
}

}  // namespace

TEST_CASE("A dead bus keeps the connection and answers nothing until it comes back") {
    ChildProcess sim(with_fault("dead-bus@5+60"));
    const int port = printed_port(sim);
    BusClient bus(port);
    REQUIRE(bus.connect());
    CHECK(bus.time_ms() >= 0);
    bus.set_timeout_ms(300);
    CHECK(comes_true([&] { return bus.time_ms() < 0; }));
    CHECK(errno == ETIMEDOUT);
    CHECK(comes_true([&] { return reconnected(port); }));
}

TEST_CASE("Dropped connections are closed and refused until the fault ends") {
    ChildProcess sim(with_fault("drop-connections@5+100"));
    const int port = printed_port(sim);
    BusClient bus(port);
    REQUIRE(bus.connect());
    CHECK(comes_true([&] { return bus.time_ms() < 0; }));
    CHECK(errno == ECONNRESET);
    BusClient again(port);
    CHECK_FALSE(again.connect());
    CHECK(errno == ECONNREFUSED);
    CHECK(comes_true([&] { return reconnected(port); }));
}

TEST_CASE("A slow reply takes two seconds") {
    ChildProcess sim(with_fault("slow-reply@5"));
    BusClient bus(printed_port(sim));
    REQUIRE(bus.connect());
    std::chrono::duration<double> took{};
    CHECK(comes_true([&] {
        const auto began = SteadyClock::now();
        REQUIRE(bus.time_ms() >= 0);
        took = SteadyClock::now() - began;
        return took > 1s;
    }));
    CHECK(took >= 1.95s);
    CHECK(took < 4.5s);
}

TEST_CASE("Exception, short reply and wrong unit reach the client as such") {
    const auto first_failure = [](const std::string& fault) {
        ChildProcess sim(with_fault(fault));
        BusClient bus(printed_port(sim));
        REQUIRE(bus.connect());
        bus.set_timeout_ms(1000);
        int error = 0;
        CHECK(comes_true([&] {
            if (bus.time_ms() >= 0) return false;
            error = errno;
            return true;
        }));
        return error;
    };
    CHECK(first_failure("exception@5") == EMBXSFAIL);
    CHECK(first_failure("short-reply@5") == EMBBADDATA);
    CHECK(first_failure("wrong-unit@5") == EMBBADSLAVE);
}

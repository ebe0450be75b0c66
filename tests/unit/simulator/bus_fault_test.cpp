// Faults of the bus itself. Time runs (stepped time would stand still), so these watch for a change with a
// deadline.
#include <doctest/doctest.h>
#include <netinet/in.h>
#include <poll.h>
#include <sys/socket.h>
#include <unistd.h>

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

using Bytes = std::vector<std::uint8_t>;

/// Bytes over a plain socket: libmodbus hides what is wrong with an answer.
class RawClient {
  public:
    explicit RawClient(int port) : socket_(socket(AF_INET, SOCK_STREAM | SOCK_CLOEXEC, 0)) {
        sockaddr_in address{};
        address.sin_family = AF_INET;
        address.sin_port = htons(static_cast<std::uint16_t>(port));
        address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
        REQUIRE(connect(socket_, reinterpret_cast<sockaddr*>(&address), sizeof address) == 0);
    }
    ~RawClient() { close(socket_); }
    /// Empty when nothing comes within five seconds.
    Bytes ask(const Bytes& request) {
        REQUIRE(send(socket_, request.data(), request.size(), MSG_NOSIGNAL) ==
                static_cast<ssize_t>(request.size()));
        pollfd ready{socket_, POLLIN, 0};
        if (poll(&ready, 1, 5000) <= 0) return {};
        Bytes answer(260);
        const auto count = recv(socket_, answer.data(), answer.size(), 0);
        answer.resize(count > 0 ? static_cast<std::size_t>(count) : 0);
        return answer;
    }

  private:
    int socket_;
};

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

TEST_CASE("Exception, short reply and wrong unit stand so in the bytes of the answer") {
    // Read of holding registers 3 and 4; healthy answer: the same header with length 7, unit 1, function 3, 4
    // bytes.
    const Bytes request = {0, 1, 0, 0, 0, 6, 1, 3, 0, 3, 0, 2};
    const auto unhealthy = [&](const std::string& fault) {
        ChildProcess sim(with_fault(fault));
        RawClient bus(printed_port(sim));
        Bytes answer;
        CHECK(comes_true([&] {
            answer = bus.ask(request);
            const bool healthy = answer.size() == 13 && answer[6] == 1 && answer[7] == 3 && answer[8] == 4;
            return !healthy;
        }));
        return answer;
    };
    CHECK(unhealthy("exception@5") == Bytes{0, 1, 0, 0, 0, 3, 1, 0x83, 4});
    const Bytes cut = unhealthy("short-reply@5");
    REQUIRE(cut.size() == 11);
    CHECK(cut[8] == 2);
    const Bytes other = unhealthy("wrong-unit@5");
    REQUIRE(other.size() == 13);
    CHECK(other[6] == 2);
}

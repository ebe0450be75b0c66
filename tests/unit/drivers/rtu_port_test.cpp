// The port of a Modbus RTU line on a real pseudo-terminal: its lock, and an adapter that is pulled and comes
// back.
#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/file.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>

#include <atomic>
#include <filesystem>
#include <memory>

#include "driver_fixtures.hpp"
#include "drivers/driver.hpp"
#include "drivers/host.hpp"
#include "eventually.hpp"
#include "support/rtu_slave.hpp"

using namespace drumwatch;

namespace {

constexpr std::uint16_t kValue = 1234;

BusConfig bus_on(const std::string& device) {
    BusConfig bus;
    bus.name = "line";
    bus.kind = BusKind::modbus_rtu;
    bus.device = device;
    bus.timeout_ms = 300;
    bus.channels = {modbus_channel(0, RegisterTable::input, 8)};
    return bus;
}

}  // namespace

TEST_CASE("the RTU port is ours alone while open and free again afterwards") {
    RtuSlave slave([](RtuSlave::Line&, const Bytes&) {});
    const int watcher = ::open(slave.path().c_str(), O_RDWR | O_NOCTTY | O_CLOEXEC);
    REQUIRE(watcher >= 0);
    int exclusive = 0;
    BusConfig bus = bus_on(slave.path());
    bus.baud = 19200;
    {
        const auto driver = make_driver(bus, 1);
        REQUIRE(driver->open().ok());
        REQUIRE(::ioctl(watcher, TIOCGEXCL, &exclusive) == 0);
        CHECK(exclusive != 0);
        CHECK(::flock(watcher, LOCK_EX | LOCK_NB) != 0);
        termios mode{};
        REQUIRE(::tcgetattr(watcher, &mode) == 0);
        CHECK(mode.c_cc[VMIN] == 1);
        CHECK(::cfgetospeed(&mode) == B19200);
    }
    REQUIRE(::ioctl(watcher, TIOCGEXCL, &exclusive) == 0);
    CHECK(exclusive == 0);
    CHECK(::flock(watcher, LOCK_EX | LOCK_NB) == 0);
    const auto driver = make_driver(bus, 1);
    CHECK(driver->open().error() ==
          "another program uses " + slave.path() + ": Resource temporarily unavailable");
    ::close(watcher);
    CHECK(driver->open().ok());
}

TEST_CASE("an RTU adapter that comes back as another terminal is found under its stable name") {
    const std::string link =
        std::filesystem::temp_directory_path().string() + "/drumwatch-rtu-" + std::to_string(::getpid());
    const RtuSlave::Script answer = [](RtuSlave::Line& line, const Bytes& request) {
        line.send(rtu_answer(request, kValue));
    };
    auto slave = std::make_unique<RtuSlave>(answer);
    const std::string old_path = slave->path();
    REQUIRE(::symlink(slave->path().c_str(), link.c_str()) == 0);
    {
        std::atomic<int> good = 0;  // outlives the bus's thread
        BusHost host(bus_on(link), 4);
        const auto good_again = [&] {
            const int before = good;
            return eventually([&] {
                host.request_poll([&](const PollOutcome& outcome) {
                    if (!outcome.readings.empty() && is_good(outcome.readings[0].quality)) ++good;
                });
                return good > before;
            });
        };
        CHECK(good_again());
        ::unlink(link.c_str());
        slave.reset();
        CHECK(eventually([&] {
            host.request_poll([](const PollOutcome&) {});
            return !host.counters().up;
        }));
        CHECK(host.counters().complaint.find(link) != std::string::npos);
        const auto counted_by_host = [&](LinkFault fault) {
            return host.counters().faults[static_cast<std::size_t>(fault)];
        };
        CHECK(counted_by_host(LinkFault::gone) >= 1);
        CHECK(eventually([&] { return counted_by_host(LinkFault::not_open) >= 1; }));
        const RtuSlave placeholder(answer);  // takes the old number
        slave = std::make_unique<RtuSlave>(answer);
        CHECK(slave->path() != old_path);
        REQUIRE(::symlink(slave->path().c_str(), link.c_str()) == 0);
        CHECK(good_again());
        CHECK(host.counters().reconnects >= 1);
    }
    ::unlink(link.c_str());
}

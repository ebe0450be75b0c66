// The serial driver on a real pseudo-terminal. (A pseudo-terminal takes any speed and parity, so these prove
// nothing here.)
#include <doctest/doctest.h>
#include <fcntl.h>
#include <sys/file.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>

#include <chrono>
#include <filesystem>
#include <future>
#include <memory>

#include "driver_fixtures.hpp"
#include "drivers/driver.hpp"
#include "drivers/host.hpp"
#include "eventually.hpp"
#include "support/terminal.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;

namespace {

BusConfig bus_on(const std::string& device, std::int64_t timeout_ms = 5000) {
    BusConfig bus;
    bus.name = "probes";
    bus.kind = BusKind::serial_text;
    bus.device = device;
    bus.timeout_ms = timeout_ms;
    bus.channels = {text_channel(0, 1, "---"), text_channel(1, 2, "---")};
    return bus;
}

/// Polls until a line has come or the link is down.
PollOutcome next_line(Driver& driver) {
    PollOutcome outcome;
    eventually([&] {
        outcome = driver.poll();
        return outcome.link == Link::down || !outcome.readings.empty();
    });
    return outcome;
}

void check_values(const PollOutcome& outcome, Milli first, Milli second) {
    REQUIRE(outcome.readings.size() == 2);
    CHECK(outcome.readings[0].quality == Quality::good);
    CHECK(outcome.readings[0].value_milli == first);
    CHECK(outcome.readings[1].channel == 1);
    CHECK(outcome.readings[1].value_milli == second);
}

}  // namespace

TEST_CASE("lines of a terminal become readings and the newest wins") {
    Terminal terminal;
    const auto driver = make_driver(bus_on(terminal.path()), 1);
    REQUIRE(driver->open().ok());
    terminal.say("7.4,221.0\r\n");  // perhaps the tail of 187.4
    CHECK(driver->poll().readings.empty());
    terminal.say("187.4,221.0\r\n");
    check_values(next_line(*driver), 187'400, 221'000);
    const PollOutcome nothing = driver->poll();
    CHECK(nothing.link == Link::up);
    CHECK(nothing.readings.empty());
    terminal.say("1,2\n3,4\n188.0,");
    check_values(next_line(*driver), 3'000, 4'000);
    terminal.say("222.0\n");
    check_values(next_line(*driver), 188'000, 222'000);
}

TEST_CASE("open probes, words and missing fields of a line are told apart") {
    Terminal terminal;
    const auto driver = make_driver(bus_on(terminal.path()), 1);
    REQUIRE(driver->open().ok());
    terminal.say("\n---,221.0\n");
    PollOutcome outcome = next_line(*driver);
    REQUIRE(outcome.readings.size() == 2);
    CHECK(outcome.readings[0].quality == Quality::open_circuit);
    CHECK(outcome.readings[1].quality == Quality::good);
    terminal.say("hello\n");
    outcome = next_line(*driver);
    REQUIRE(outcome.readings.size() == 2);
    CHECK(outcome.readings[0].quality == Quality::bad_reply);
    CHECK(outcome.readings[1].quality == Quality::bad_reply);
}

TEST_CASE("a poll of a quiet line is brief and a waiting line costs no wait") {
    Terminal terminal;
    const auto driver = make_driver(bus_on(terminal.path()), 1);
    REQUIRE(driver->open().ok());
    const auto began = std::chrono::steady_clock::now();
    for (int i = 0; i < 10; ++i) CHECK(driver->poll().link == Link::up);
    CHECK(std::chrono::steady_clock::now() - began < 2s);
}

TEST_CASE("a terminal that says nothing is down and says so when it speaks again") {
    Terminal terminal;
    const auto driver = make_driver(bus_on(terminal.path(), 100), 1);
    REQUIRE(driver->open().ok());
    PollOutcome outcome = next_line(*driver);
    CHECK(outcome.link == Link::down);
    CHECK(outcome.complaint == terminal.path() + " says nothing");
    REQUIRE(driver->open().ok());
    terminal.say("\n1,2\n");
    check_values(next_line(*driver), 1'000, 2'000);
    // Bytes without a line end: another baud rate looks like this.
    terminal.say(std::string(2000, 'x'));
    outcome = next_line(*driver);
    CHECK(outcome.link == Link::down);
    CHECK(outcome.complaint == terminal.path() + " sends no whole line: is the baud rate 115200?");
}

TEST_CASE("a device that never stops talking does not hold the poll") {
    Terminal terminal;
    const auto driver = make_driver(bus_on(terminal.path()), 1);
    REQUIRE(driver->open().ok());
    std::atomic<bool> stop = false;
    std::thread talker([&] {
        const std::string text = "200.0,1.0\n";
        ::fcntl(terminal.descriptor(), F_SETFL, O_NONBLOCK);
        while (!stop)
            if (::write(terminal.descriptor(), text.data(), text.size()) < 0) std::this_thread::yield();
    });
    const auto began = std::chrono::steady_clock::now();
    int good = 0;
    for (int i = 0; i < 20; ++i) {
        const PollOutcome outcome = driver->poll();
        if (!outcome.readings.empty() && outcome.readings[0].quality == Quality::good) ++good;
    }
    CHECK(std::chrono::steady_clock::now() - began < 5s);
    CHECK(good > 0);
    stop = true;
    talker.join();
}

TEST_CASE("an unplugged terminal is down and cannot be opened") {
    Terminal terminal;
    const auto driver = make_driver(bus_on(terminal.path()), 1);
    REQUIRE(driver->open().ok());
    terminal.say("\n1,2\n");
    check_values(next_line(*driver), 1'000, 2'000);
    terminal.unplug();
    const PollOutcome outcome = next_line(*driver);
    CHECK(outcome.link == Link::down);
    CHECK_MESSAGE(outcome.complaint.starts_with(terminal.path() + " is gone: "), outcome.complaint);
    CHECK(!driver->open().ok());
    CHECK(driver->poll().link == Link::down);
}

TEST_CASE("a device that comes back under the same name is found by itself") {
    // A stable link to the port, as udev keeps one by the adapter's number.
    const std::string link =
        std::filesystem::temp_directory_path().string() + "/drumwatch-serial-" + std::to_string(::getpid());
    auto terminal = std::make_unique<Terminal>();
    REQUIRE(::symlink(terminal->path().c_str(), link.c_str()) == 0);
    {
        std::atomic<Milli> value = 0;  // outlives the bus's thread
        BusHost host(bus_on(link), 4);
        const auto ask = [&] {
            host.request_poll([&](PollOutcome outcome) {
                if (!outcome.readings.empty()) value = outcome.readings[0].value_milli;
            });
        };
        const auto hear = [&](const std::string& line, Milli expected) {
            return eventually([&] {
                terminal->say(line);
                ask();
                return value == expected;
            });
        };
        CHECK(hear("1,2\n", 1'000));
        terminal->unplug();
        CHECK(eventually([&] {
            ask();
            return !host.counters().up;
        }));
        CHECK(host.counters().complaint.find(link) != std::string::npos);
        ::unlink(link.c_str());
        terminal = std::make_unique<Terminal>();
        REQUIRE(::symlink(terminal->path().c_str(), link.c_str()) == 0);
        CHECK(hear("3,4\n", 3'000));
        CHECK(host.counters().reconnects >= 1);
    }
    ::unlink(link.c_str());
}

TEST_CASE("a port in use or no port at all is refused in a sentence") {
    Terminal terminal;
    const int other = ::open(terminal.path().c_str(), O_RDWR | O_NOCTTY | O_CLOEXEC);
    REQUIRE(other >= 0);
    REQUIRE(::flock(other, LOCK_EX | LOCK_NB) == 0);
    const auto driver = make_driver(bus_on(terminal.path()), 1);
    const Result<Done> taken = driver->open();
    REQUIRE(!taken.ok());
    CHECK(taken.error() == "another program uses " + terminal.path() + ": Resource temporarily unavailable");
    ::close(other);
    CHECK(driver->open().ok());
    CHECK(make_driver(bus_on("/dev/null"), 1)->open().error() ==
          "not a serial port: /dev/null: Inappropriate ioctl for device");
    CHECK(make_driver(bus_on("/dev/no-such-port"), 1)->open().error() ==
          "cannot open /dev/no-such-port: No such file or directory");
}

TEST_CASE("the port is ours alone while open and free again afterwards") {
    Terminal terminal;
    const int watcher = ::open(terminal.path().c_str(), O_RDWR | O_NOCTTY | O_CLOEXEC);
    REQUIRE(watcher >= 0);
    int exclusive = 0;
    {
        const auto driver = make_driver(bus_on(terminal.path()), 1);
        REQUIRE(driver->open().ok());
        REQUIRE(::ioctl(watcher, TIOCGEXCL, &exclusive) == 0);
        CHECK(exclusive != 0);
        CHECK(::flock(watcher, LOCK_EX | LOCK_NB) != 0);
        termios mode{};
        REQUIRE(::tcgetattr(watcher, &mode) == 0);
        CHECK(mode.c_cc[VMIN] == 1);
        CHECK(mode.c_cc[VTIME] == 0);
        CHECK((mode.c_lflag & (ICANON | ECHO)) == 0U);
        CHECK(::cfgetospeed(&mode) == B115200);
    }
    REQUIRE(::ioctl(watcher, TIOCGEXCL, &exclusive) == 0);
    CHECK(exclusive == 0);
    CHECK(::flock(watcher, LOCK_EX | LOCK_NB) == 0);
    ::close(watcher);
}

// Serial streams that misbehave, on a real pseudo-terminal through the host: each is counted and told, no
// wrong value comes out, and good data is taken again within a second. And the device that speaks only when
// asked.
#include <doctest/doctest.h>
#include <fcntl.h>
#include <poll.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <filesystem>
#include <functional>
#include <memory>
#include <mutex>
#include <set>

#include "driver_fixtures.hpp"
#include "drivers/driver.hpp"
#include "drivers/host.hpp"
#include "eventually.hpp"
#include "support/random.hpp"
#include "support/terminal.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;

namespace {

using Clock = std::chrono::steady_clock;

/// A second, and what a busy machine takes on top.
constexpr auto kRecovered = 3s;

BusConfig bus_on(const std::string& device, std::int64_t timeout_ms = 300) {
    BusConfig bus;
    bus.name = "probes";
    bus.kind = BusKind::serial_text;
    bus.device = device;
    bus.timeout_ms = timeout_ms;
    bus.channels = {text_channel(0, 1), text_channel(1, 2)};
    return bus;
}

/// A host that is polled all the time, and what it gives.
class Listener {
  public:
    explicit Listener(BusConfig bus) : host(std::move(bus), 1), thread_([this] { ask_on(); }) {}
    ~Listener() {
        stop_ = true;
        thread_.join();
        host.stop();
    }
    Listener(const Listener&) = delete;
    Listener& operator=(const Listener&) = delete;

    std::uint32_t counted(LinkFault fault) const {
        return host.counters().faults[static_cast<std::size_t>(fault)];
    }
    /// Says good lines until one is taken; whether that was soon.
    bool recovers(Terminal& terminal, const std::string& line = "187.4,221.0\n") {
        const int before = taken();
        const auto began = Clock::now();
        while (taken() == before && Clock::now() - began < kRecovered) {
            terminal.say(line);
            std::this_thread::sleep_for(20ms);
        }
        return taken() > before;
    }
    /// How often the first channel was 187.4; any other good one is remembered as strange.
    int taken() const {
        const std::lock_guard lock(mutex_);
        return good_;
    }
    bool told(std::string_view sentence) const {
        const std::lock_guard lock(mutex_);
        return std::any_of(complaints_.begin(), complaints_.end(),
                           [&](const std::string& one) { return one.find(sentence) != std::string::npos; });
    }
    int strange() const {
        const std::lock_guard lock(mutex_);
        return strange_;
    }

  private:
    void ask_on() {
        while (!stop_) {
            host.request_poll([this](const PollOutcome& outcome) {
                const std::lock_guard lock(mutex_);
                complaints_.insert(outcome.complaint);
                for (const Reading& reading : outcome.readings) {
                    if (reading.channel != 0 || !is_good(reading.quality)) continue;
                    ++(reading.value_milli == 187'400 ? good_ : strange_);
                }
            });
            std::this_thread::sleep_for(5ms);
        }
    }

    mutable std::mutex mutex_;
    int good_ = 0;
    int strange_ = 0;
    std::set<std::string> complaints_;
    std::atomic<bool> stop_ = false;

  public:
    BusHost host;

  private:
    std::thread thread_;
};

/// Writes what goes in, for so long.
void flood(Terminal& terminal, std::string_view bytes, std::chrono::milliseconds how_long) {
    const auto end = Clock::now() + how_long;
    while (Clock::now() < end) {
        pollfd room{terminal.descriptor(), POLLOUT, 0};
        if (::poll(&room, 1, 20) == 1 && ::write(terminal.descriptor(), bytes.data(), bytes.size()) < 0)
            return;
        std::this_thread::sleep_for(1ms);
    }
}

}  // namespace

TEST_CASE("overlong lines are counted and told and good lines taken again within a second") {
    Terminal terminal;
    Listener listener(bus_on(terminal.path()));
    REQUIRE(listener.recovers(terminal));
    flood(terminal, std::string(300, '8'), 1000ms);
    CHECK(eventually([&] { return listener.counted(LinkFault::overlong_line) >= 1; }));
    CHECK(eventually([&] { return listener.counted(LinkFault::no_line) >= 1; }));
    CHECK(listener.recovers(terminal));
    CHECK(listener.strange() == 0);
}

TEST_CASE("binary junk is counted and moves no value") {
    Terminal terminal;
    Listener listener(bus_on(terminal.path()));
    REQUIRE(listener.recovers(terminal));
    const unsigned seed = 20261130;
    MESSAGE("seed ", seed);
    TestRandom random(seed);
    std::string junk;
    for (int i = 0; i < 4000; ++i) junk += static_cast<char>(0x80 + random.below(0x80));
    for (std::size_t at = 50; at < junk.size(); at += 80) junk[at] = '\n';
    flood(terminal, junk, 500ms);
    CHECK(eventually([&] { return listener.counted(LinkFault::unreadable_field) >= 1; }));
    CHECK(listener.recovers(terminal));
    CHECK(listener.strange() == 0);
}

TEST_CASE("a byte at a time is no line and the next whole line is taken") {
    Terminal terminal;
    Listener listener(bus_on(terminal.path()));
    REQUIRE(listener.recovers(terminal));
    const std::size_t before = listener.counted(LinkFault::no_line);
    for (int i = 0; i < 8; ++i) {  // slower than the time-out allows a line to be
        terminal.say("1");
        std::this_thread::sleep_for(100ms);
    }
    CHECK(eventually([&] { return listener.counted(LinkFault::no_line) > before; }));
    CHECK(listener.told("sends no whole line: is the baud rate 115200?"));
    CHECK(listener.recovers(terminal));
    CHECK(listener.strange() == 0);
}

TEST_CASE("a terminal that vanishes in the middle of a line gives no part of it") {
    const std::string link =
        std::filesystem::temp_directory_path().string() + "/drumwatch-mid-line-" + std::to_string(::getpid());
    auto terminal = std::make_unique<Terminal>();
    REQUIRE(::symlink(terminal->path().c_str(), link.c_str()) == 0);
    {
        Listener listener(bus_on(link));
        REQUIRE(listener.recovers(*terminal));
        terminal->say("18");
        terminal->unplug();
        ::unlink(link.c_str());
        CHECK(eventually([&] { return listener.counted(LinkFault::gone) >= 1; }));
        CHECK(eventually([&] { return listener.counted(LinkFault::not_open) >= 1; }));
        terminal = std::make_unique<Terminal>();
        REQUIRE(::symlink(terminal->path().c_str(), link.c_str()) == 0);
        CHECK(listener.recovers(*terminal));
        CHECK(listener.strange() == 0);
    }
    ::unlink(link.c_str());
}

TEST_CASE("silence is counted and a device that speaks again is heard") {
    Terminal terminal;
    Listener listener(bus_on(terminal.path(), 100));
    CHECK(eventually([&] { return listener.counted(LinkFault::silent) >= 1; }));
    CHECK(listener.recovers(terminal));
}

TEST_CASE("lines with a wrong checksum or another number of fields are counted and move no value") {
    Terminal terminal;
    BusConfig bus = bus_on(terminal.path(), 5000);
    bus.checksum = Checksum::xor_sum;
    bus.fields = 2;
    Listener listener(bus);
    const std::string good = "$187.4,221.0*27\n";
    REQUIRE(listener.recovers(terminal, good));
    for (const auto& [line, fault] : {std::pair("$187.5,221.0*27\n", LinkFault::bad_checksum),
                                      std::pair("87.4,221.0*3C\n", LinkFault::bad_checksum),
                                      std::pair("$187.4,221.0\n", LinkFault::bad_checksum),
                                      std::pair("$221.0*2F\n", LinkFault::wrong_field_count)}) {
        CAPTURE(line);
        const std::uint32_t before = listener.counted(fault);
        CHECK(eventually([&, text = line, kind = fault] {
            terminal.say(text);
            std::this_thread::sleep_for(10ms);
            return listener.counted(kind) > before;
        }));
        CHECK(listener.recovers(terminal, good));
    }
    CHECK(listener.strange() == 0);
    const auto channels = listener.host.channels();
    CHECK(channels.at(1).faults[static_cast<std::size_t>(LinkFault::bad_checksum)] >= 3);
}

TEST_CASE("a line that is too short is a fault of the channels that it lacks and of no other") {
    Terminal terminal;
    Listener listener(bus_on(terminal.path(), 5000));
    REQUIRE(listener.recovers(terminal));
    CHECK(listener.recovers(terminal, "187.4\n"));
    CHECK(eventually([&] { return listener.counted(LinkFault::missing_field) >= 1; }));
    const auto channels = listener.host.channels();
    CHECK(channels.at(0).faults == FaultCounts{});
    CHECK(channels.at(1).newest.quality == Quality::bad_reply);
    CHECK(channels.at(1).raw.fault == LinkFault::missing_field);
}

TEST_CASE("a device that is asked is asked once for each line and not again before it has answered") {
    Terminal terminal;
    BusConfig bus = bus_on(terminal.path(), 3000);
    bus.poll = "READ\r\n";
    std::atomic<bool> stop = false;
    std::atomic<int> asked = 0;
    std::atomic<int> waiting_most = 0;
    // A slow device: it takes 60 ms for a line, and answers each command in turn.
    std::thread device([&] {
        std::string heard;
        while (!stop) {
            pollfd input{terminal.descriptor(), POLLIN, 0};
            if (::poll(&input, 1, 20) != 1) continue;
            char bytes[256];
            const ssize_t count = ::read(terminal.descriptor(), bytes, sizeof bytes);
            if (count <= 0) {
                std::this_thread::sleep_for(1ms);
                continue;
            }
            heard.append(bytes, static_cast<std::size_t>(count));
            int waiting = 0;
            for (std::size_t at; (at = heard.find("READ\r\n")) != std::string::npos; ++waiting)
                heard.erase(0, at + 6);
            waiting_most = std::max(waiting_most.load(), waiting);
            for (; waiting > 0; --waiting) {
                ++asked;
                std::this_thread::sleep_for(60ms);
                const std::string line = "187.4,221.0\r\n";
                if (::write(terminal.descriptor(), line.data(), line.size()) < 0) return;
            }
        }
    });
    {
        const auto driver = make_driver(bus, 1);
        REQUIRE(driver->open().ok());
        for (int i = 0; i < 5; ++i) {
            const PollOutcome outcome = driver->poll();
            REQUIRE_MESSAGE(outcome.link == Link::up, outcome.complaint);
            REQUIRE(outcome.readings.size() == 2);
            CHECK(outcome.readings[0].value_milli == 187'400);
            CHECK(outcome.readings[1].value_milli == 221'000);
        }
    }
    stop = true;
    device.join();
    CHECK(asked == 6);  // the first line after opening is thrown away, and asked for again
    CHECK(waiting_most == 1);
}

TEST_CASE("a device that does not answer its command is down and says so") {
    Terminal terminal;
    BusConfig bus = bus_on(terminal.path(), 100);
    bus.poll = "READ\r\n";
    const auto driver = make_driver(bus, 1);
    REQUIRE(driver->open().ok());
    const PollOutcome outcome = driver->poll();
    CHECK(outcome.link == Link::down);
    CHECK(outcome.complaint == terminal.path() + " does not answer its command");
    CHECK(outcome.faults[static_cast<std::size_t>(LinkFault::silent)] == 1);
    char bytes[64] = {};
    CHECK(::read(terminal.descriptor(), bytes, sizeof bytes) == 6);
    CHECK(std::string(bytes) == "READ\r\n");
}

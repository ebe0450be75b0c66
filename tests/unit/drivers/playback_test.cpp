// A capture played again, through the table of drivers and through a host.
#include <doctest/doctest.h>

#include <fstream>
#include <mutex>
#include <thread>

#include "drivers/capture/capture_text.hpp"
#include "drivers/driver.hpp"
#include "drivers/host.hpp"
#include "eventually.hpp"
#include "support/temp_dir.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;

namespace {

const CaptureHeader kHeader{"machine", {"exhaust", "bean"}};

std::string line(std::int64_t ms, Milli bean, Link link = Link::up) {
    CapturedPoll poll{ms, link, {}, link == Link::down ? "it was unplugged" : ""};
    if (link == Link::up) {
        CapturedReading reading;
        reading.place = 1;
        reading.quality = Quality::good;
        reading.value_milli = bean;
        reading.raw.kind = RawValue::Kind::one_word;
        reading.raw.words[0] = static_cast<std::uint16_t>(bean / 100);
        poll.readings = {reading};
    }
    return captured_poll_line(poll, kHeader) + "\n";
}

BusConfig bus_of(const TempDir& folder, const std::string& lines, bool repeat = false) {
    std::ofstream(folder.file("c.jsonl")) << capture_header_line(kHeader) << "\n" << lines;
    BusConfig bus;
    bus.name = "played";
    bus.kind = BusKind::playback;
    bus.device = folder.file("c.jsonl");
    bus.repeat = repeat;
    ChannelSource bean;
    bean.channel = 4;
    bean.captured = "bean";
    bus.channels = {bean};
    return bus;
}

/// Values in the order in which they came, until `enough` or the time is up.
std::vector<Milli> play(Driver& driver, std::size_t enough, std::chrono::milliseconds within = 10s) {
    std::vector<Milli> values;
    const auto end = std::chrono::steady_clock::now() + within;
    while (values.size() < enough && std::chrono::steady_clock::now() < end) {
        const PollOutcome outcome = driver.poll();
        for (const Reading& reading : outcome.readings) {
            CHECK(reading.channel == 4);
            values.push_back(reading.value_milli);
        }
        std::this_thread::sleep_for(1ms);
    }
    return values;
}

}  // namespace

TEST_CASE("readings come in their order and not before their time, and then it is over") {
    TempDir folder;
    const auto driver =
        make_driver(bus_of(folder, line(0, 200'000) + line(200, 200'100) + line(400, 200'200)), 1);
    const auto began = std::chrono::steady_clock::now();
    REQUIRE(driver->open());
    CHECK(play(*driver, 3) == std::vector<Milli>{200'000, 200'100, 200'200});
    CHECK(std::chrono::steady_clock::now() - began >= 380ms);
    const PollOutcome over = driver->poll();
    CHECK(over.link == Link::down);
    CHECK(over.complaint.find("the capture is over") != std::string::npos);
    driver->close();
    CHECK(driver->open());  // and stays over
    CHECK(driver->poll().link == Link::down);
}

namespace {

const CaptureHeader kWithInputs{"machine", {"exhaust", "bean"}, {{3, 1}, {4, 2}}};

std::string levels_line(std::int64_t ms, std::optional<bool> third, bool fourth, Link link = Link::up) {
    CapturedPoll poll{ms, link, {}, ""};
    if (link == Link::up) poll.inputs = {third, fourth};
    return captured_poll_line(poll, kWithInputs) + "\n";
}

/// What the poll says of the bus's only button.
std::string button_in(const PollOutcome& outcome) {
    if (outcome.inputs.empty()) return "unknown";
    REQUIRE(outcome.inputs.size() == 1);
    CHECK(outcome.inputs[0].input == 0);
    if (!outcome.inputs[0].on) return "refused";
    return *outcome.inputs[0].on ? "on" : "off";
}

BusConfig bus_with_button(const TempDir& folder, const std::string& lines, DiscreteInput button,
                          bool repeat = false) {
    BusConfig bus = bus_of(folder, "", repeat);
    bus.discrete_inputs = {button};
    std::ofstream(folder.file("c.jsonl")) << capture_header_line(kWithInputs) << "\n" << lines;
    return bus;
}

/// The button's states, each once as long as it lasts, until so many have come or the time is up.
std::vector<std::string> states_of(Driver& driver, std::size_t enough) {
    std::vector<std::string> states;
    const auto end = std::chrono::steady_clock::now() + 10s;
    while (states.size() < enough && std::chrono::steady_clock::now() < end) {
        const std::string now = button_in(driver.poll());
        if (states.empty() || states.back() != now) states.push_back(now);
        std::this_thread::sleep_for(1ms);
    }
    return states;
}

}  // namespace

TEST_CASE("discrete inputs keep their level from one captured poll to the next, and none where it was down") {
    TempDir folder;
    const std::string lines = levels_line(0, false, true) + levels_line(60, true, false) +
                              levels_line(120, std::nullopt, true) + levels_line(180, false, true) +
                              levels_line(240, true, true, Link::down) + levels_line(300, true, false);
    const auto third = make_driver(bus_with_button(folder, lines, {3, 1}), 1);
    REQUIRE(third->open());
    CHECK(states_of(*third, 6) == std::vector<std::string>{"off", "on", "refused", "off", "unknown", "on"});
    const auto fourth = make_driver(bus_with_button(folder, lines, {4, 2}), 1);
    REQUIRE(fourth->open());
    CHECK(states_of(*fourth, 5) == std::vector<std::string>{"on", "off", "on", "unknown", "off"});
}

TEST_CASE("a button that is down at a capture's beginning is not pressed by the repeat") {
    TempDir folder;
    const std::string lines = levels_line(0, true, false) + levels_line(50, false, false);
    const auto driver = make_driver(bus_with_button(folder, lines, {3, 1}, true), 4);
    REQUIRE(driver->open());
    CHECK(states_of(*driver, 5) == std::vector<std::string>{"on", "off", "unknown", "off", "unknown"});
}

TEST_CASE("a button that the capture lacks is said to be missing") {
    TempDir folder;
    const auto opened = make_driver(bus_with_button(folder, "", {3, 2}), 1)->open();
    REQUIRE(!opened);
    CHECK(opened.error() == folder.file("c.jsonl") + " has no discrete input 3 of unit 2");
}

TEST_CASE("bytes in a capture are not played") {
    TempDir folder;
    const std::string bytes = captured_bytes_line({100, ByteWay::received, "0123"}) + "\n";
    const auto driver =
        make_driver(bus_of(folder, line(100, 200'000) + bytes + bytes + line(110, 200'100)), 1);
    REQUIRE(driver->open());
    CHECK(play(*driver, 2) == std::vector<Milli>{200'000, 200'100});
    CHECK(driver->poll().complaint.find("the capture is over") != std::string::npos);
}

TEST_CASE("where the captured link was down this one is, until it was up again") {
    TempDir folder;
    const auto driver = make_driver(
        bus_of(folder, line(0, 200'000) + line(50, 0, Link::down) + line(300, 201'000) + line(400, 202'000)),
        1);
    REQUIRE(driver->open());
    CHECK(play(*driver, 1) == std::vector<Milli>{200'000});
    CHECK(eventually([&] { return driver->poll().link == Link::down; }));
    const PollOutcome still = driver->poll();
    CHECK(still.link == Link::down);
    CHECK(still.complaint == "it was unplugged");
    CHECK(play(*driver, 1) == std::vector<Milli>{201'000});
}

TEST_CASE("twice as fast, and again from the beginning where that is wanted") {
    TempDir folder;
    const auto driver = make_driver(bus_of(folder, line(0, 1'000) + line(100, 2'000), true), 20);
    REQUIRE(driver->open());
    CHECK(play(*driver, 5) == std::vector<Milli>{1'000, 2'000, 1'000, 2'000, 1'000});
}

TEST_CASE("a capture that is not there, lacks a channel, or is damaged says so") {
    TempDir folder;
    BusConfig bus = bus_of(folder, line(0, 200'000) + "nonsense\n");
    const auto damaged = make_driver(bus, 1);
    REQUIRE(damaged->open());
    CHECK(play(*damaged, 1).size() == 1);
    CHECK(damaged->poll().complaint == folder.file("c.jsonl") + ":3: the line is no JSON");
    bus.channels[0].captured = "tray";
    const auto lacking = make_driver(bus, 1)->open();
    REQUIRE(!lacking);
    CHECK(lacking.error() == folder.file("c.jsonl") + " has no channel \"tray\"");
    bus.device = folder.file("none");
    CHECK(!make_driver(bus, 1)->open());
    BusConfig repeated = bus_of(folder, "", true);
    const auto empty = make_driver(repeated, 1);
    REQUIRE(empty->open());
    CHECK(empty->poll().link == Link::down);
}

TEST_CASE("a host tells its witness of every poll, a failed one too") {
    TempDir folder;
    std::mutex mutex;
    std::vector<Link> told;
    BusHost host(bus_of(folder, line(0, 200'000)), 1, [&](const PollOutcome& outcome) {
        const std::lock_guard lock(mutex);
        told.push_back(outcome.link);
    });
    CHECK(eventually([&] {
        host.request_poll([](const PollOutcome&) {});
        return host.counters().failures > 0;
    }));
    host.stop();
    CHECK(told.front() == Link::up);
    CHECK(told.back() == Link::down);
    CHECK(told.size() == host.counters().polls);
}

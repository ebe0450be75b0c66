// What more than one number says: a cold junction that is a channel, a counter of pulses; in stepped time,
// and once through a real driver.
#include "drivers/sensors/bus_sensors.hpp"

#include <doctest/doctest.h>
#include <unistd.h>

#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>

#include "driver_fixtures.hpp"
#include "drivers/driver.hpp"
#include "drivers/sensors/decode.hpp"
#include "support/random.hpp"

using namespace drumwatch;

namespace {

constexpr std::uint8_t kHot = 0;
constexpr std::uint8_t kTerminals = 1;

/// A line: millivolts of a type T thermocouple, degrees of its terminals.
BusConfig terminals_bus(char type = 'T') {
    BusConfig bus;
    bus.kind = BusKind::skeleton;
    bus.channels = {text_channel(kHot, 1, "---"), text_channel(kTerminals, 2, "---")};
    bus.channels[0].sensor = ThermocoupleSource{type, 0, ColdJunctionChannel{kTerminals, "terminals"}};
    return bus;
}

struct Poll {
    std::vector<Reading> readings;
    std::string complaint;
};

Poll poll(BusSensors& sensors, const BusConfig& bus, std::string_view line, std::int64_t now_ms) {
    Poll poll;
    for (const ChannelSource& channel : bus.channels)
        poll.readings.push_back(reading_of(channel, line));
    poll.complaint = sensors.complete(poll.readings, now_ms);
    return poll;
}

}  // namespace

TEST_CASE("a channel is the cold junction: millivolts are added, in any order of the channels") {
    BusConfig bus = terminals_bus();
    BusSensors sensors(bus);
    CHECK(sensors.has_any());
    // Type T: 9.288 mV at 200 degrees, 0.992 at 25 (NIST Monograph 175, printed).
    Poll one = poll(sensors, bus, "8.296,25.0", 0);
    CHECK(one.complaint.empty());
    CHECK(is_good(one.readings[0].quality));
    CHECK(one.readings[0].value_milli == doctest::Approx(200'000).epsilon(1e-4));
    CHECK(one.readings[1].value_milli == 25'000);
    std::swap(bus.channels[0], bus.channels[1]);
    BusSensors other(bus);
    one = poll(other, bus, "8.296,25.0", 0);
    CHECK(one.readings[1].channel == kHot);
    CHECK(one.readings[1].value_milli == doctest::Approx(200'000).epsilon(1e-4));
}

TEST_CASE("what is unfinished loses less than a thousandth of a degree on its way") {
    // Type R has the flattest curve where anybody roasts.
    const BusConfig bus = terminals_bus('R');
    BusSensors sensors(bus);
    for (const double millivolts : {0.1111117, 0.7654321, 1.4684444}) {
        const Poll one = poll(sensors, bus, std::to_string(millivolts) + ",25.0", 0);
        const Measured exact = thermocouple_celsius({'R', 25, {}}, millivolts, 25);
        CHECK(std::fabs(from_milli(one.readings[0].value_milli) - exact.value) <= 0.001);
    }
}

TEST_CASE("without its cold junction a thermocouple has no temperature, and it is said") {
    const BusConfig bus = terminals_bus();
    BusSensors sensors(bus);
    Poll one = poll(sensors, bus, "8.296,---", 0);
    CHECK(one.readings[0].quality == Quality::bad_reply);
    CHECK(one.complaint ==
          "the cold junction \"terminals\" is open: its thermocouples have no temperature without it");
    one = poll(sensors, bus, "8.296,140", 250);  // no terminals are as hot
    CHECK(one.readings[0].quality == Quality::bad_reply);
    CHECK(one.complaint.find("is outside what it can be") != std::string::npos);
    one = poll(sensors, bus, "8.296", 500);
    CHECK(one.readings[0].quality == Quality::bad_reply);
    CHECK(one.complaint.find("has no good reading") != std::string::npos);
    one = poll(sensors, bus, "---,25", 750);
    CHECK(one.readings[0].quality == Quality::open_circuit);
    CHECK(one.complaint.empty());
    CHECK(is_good(poll(sensors, bus, "8.296,25", 1000).readings[0].quality));
}

TEST_CASE("a cold junction read in an earlier poll counts until it is too old") {
    const BusConfig bus = terminals_bus();
    BusSensors sensors(bus);
    const auto hot_alone = [&](std::int64_t now_ms) {
        std::vector<Reading> readings{reading_of(bus.channels[0], "8.296")};
        sensors.complete(readings, now_ms);
        return readings[0].quality;
    };
    CHECK(hot_alone(0) == Quality::bad_reply);
    CHECK(is_good(poll(sensors, bus, "8.296,25.0", 1000).readings[0].quality));
    CHECK(hot_alone(4000) == Quality::good);
    CHECK(hot_alone(4001) == Quality::bad_reply);
    CHECK(is_good(poll(sensors, bus, "8.296,25.0", 5000).readings[0].quality));
    sensors.forget();
    CHECK(hot_alone(5001) == Quality::bad_reply);
}

TEST_CASE("a bus without such channels is left as it is") {
    BusConfig bus = terminals_bus();
    bus.channels[0].sensor = ThermocoupleSource{'T', 25, {}};
    CHECK(!BusSensors(bus).has_any());
}

TEST_CASE("a counter of pulses is a speed, also when it goes round") {
    for (const int bits : {16, 32}) {
        CAPTURE(bits);
        PulseCounter counter({4, true, bits});
        const std::uint32_t round = bits == 16 ? 0xFFFFU : 0xFFFFFFFFU;
        double pulses = 0;
        for (int i = 0; i <= 400; ++i) {  // 100 s at 50 rpm: 3.33 pulses a second
            const auto count = (round - 100U + static_cast<std::uint32_t>(pulses)) & round;
            const Measured speed = counter.take(count, i * 250);
            if (i == 0) CHECK(speed.quality == Quality::never_read);
            if (i > 24) {
                CHECK(speed.quality == Quality::good);
                // Five seconds of pulses, seen at most a poll late at either end.
                CHECK(speed.value == doctest::Approx(50).epsilon(0.06));
            }
            pulses += 50.0 / 60 * 4 / 4;
        }
    }
}

TEST_CASE("one pulse a turn shows a slow drum, and a drum that stops") {
    PulseCounter counter({1, true, 32});
    TestRandom random(3);
    std::int64_t now_ms = 0;
    double turns = 0;
    for (int i = 0; i < 400; ++i) {  // polls that are not quite on time; 20 rpm
        const std::int64_t step_ms = 240 + static_cast<std::int64_t>(random.below(21));
        now_ms += step_ms;
        turns += 20.0 / 60'000 * static_cast<double>(step_ms);
        const Measured speed = counter.take(static_cast<std::uint32_t>(turns), now_ms);
        if (i > 40) CHECK(speed.value == doctest::Approx(20).epsilon(0.11));
    }
    double before = 25;
    for (int i = 1; i <= 48; ++i) {  // it stands still
        const Measured speed = counter.take(static_cast<std::uint32_t>(turns), now_ms + i * 250);
        CHECK(speed.quality == Quality::good);
        CHECK(speed.value <= before);
        if (i >= 36) CHECK(speed.value < 8);
        if (i >= 42) CHECK(speed.value == 0);
        before = speed.value;
    }
}

TEST_CASE("a register that is renewed more slowly than it is read does not make the speed jump") {
    PulseCounter counter({60, true, 16});  // 45 rpm: 45 pulses a second, renewed once a second
    for (int i = 0; i < 200; ++i) {
        const Measured speed = counter.take(static_cast<std::uint32_t>(i / 4 * 45), i * 250);
        if (i > 8) CHECK(speed.value == doctest::Approx(45).epsilon(0.001));
    }
}

TEST_CASE("a counter that began anew is one bad reply and no speed of thousands") {
    PulseCounter counter({4, true, 32});
    for (int i = 0; i < 20; ++i) counter.take(1'000'000U + static_cast<std::uint32_t>(i), i * 250);
    CHECK(counter.take(0, 5000).quality == Quality::bad_reply);
    CHECK(counter.take(1, 5250).quality == Quality::good);
    CHECK(counter.take(2, 5500).value == doctest::Approx(60));
    counter.forget();
    CHECK(counter.take(3, 5750).quality == Quality::never_read);
}

TEST_CASE("a counter that stands still from the beginning is a drum that stands, after ten seconds") {
    PulseCounter counter({4, true, 32});
    CHECK(counter.take(7, 0).quality == Quality::never_read);
    CHECK(counter.take(7, 9'999).quality == Quality::never_read);
    CHECK(counter.take(7, 10'000).quality == Quality::good);
    CHECK(counter.take(7, 10'250).value == 0);
}

TEST_CASE("a count that is no whole number is a bad reply") {
    ChannelSource channel = text_channel(2, 1);
    channel.sensor = PulseSource{4, true, 32};
    CHECK(reading_of(channel, "12.5").quality == Quality::bad_reply);
    CHECK(reading_of(channel, "99999999999").quality == Quality::bad_reply);
    CHECK(reading_of(channel, "4294967295").quality == Quality::good);
}

TEST_CASE("drivers give whole readings: the cold junction and the counter of one bus") {
    const std::string path =
        std::filesystem::temp_directory_path().string() + "/drumwatch-sensors-" + std::to_string(::getpid());
    BusConfig bus = terminals_bus();
    bus.device = path;
    bus.channels.push_back(text_channel(2, 3));
    bus.channels[2].sensor = PulseSource{4, true, 16};
    std::ofstream(path) << "8.296,25.0,65535\n";
    const auto driver = make_driver(bus, 1);
    REQUIRE(driver->open().ok());
    PollOutcome outcome = driver->poll();
    REQUIRE(outcome.readings.size() == 3);
    CHECK(outcome.complaint.empty());
    CHECK(outcome.readings[0].value_milli == doctest::Approx(200'000).epsilon(1e-4));
    CHECK(outcome.readings[2].quality == Quality::never_read);
    ::usleep(20'000);
    std::ofstream(path) << "8.296,---,3\n";  // four pulses on
    outcome = driver->poll();
    CHECK(outcome.readings[0].quality == Quality::bad_reply);
    CHECK(outcome.complaint.find("the cold junction \"terminals\" is open") == 0);
    CHECK(outcome.readings[2].quality == Quality::good);
    CHECK(outcome.readings[2].value_milli > 0);
    CHECK(outcome.readings[2].value_milli <= 3'000'000);  // a turn in 20 ms or more
    std::remove(path.c_str());
}

// The daemon's log: sentences with names, and the journal's words left as they are.
#include "service/log_words.hpp"

#include <doctest/doctest.h>

#include <set>

#include "core/words.hpp"

using namespace drumwatch;

namespace {

Config station() {
    Config config;
    config.channels = {make_channel("bean", Unit::celsius), make_channel("exhaust", Unit::celsius)};
    config.channels[1].max_age_ms = 2'500;
    config.buses.resize(2);
    config.buses[0].name = "controller";
    config.buses[1].name = "logger";
    ChannelSource source;
    source.channel = 1;
    config.buses[1].channels.push_back(source);
    return config;
}

Event quality_of(std::int16_t channel, Quality quality) {
    Event event;
    event.kind = EventKind::quality_changed;
    event.index = channel;
    event.value_milli = static_cast<Milli>(quality);
    return event;
}

Event health_of(Health health, bool bad, std::int16_t index = 0) {
    Event event;
    event.kind = EventKind::health_changed;
    event.health = health;
    event.bad = bad;
    event.index = index;
    return event;
}

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

}  // namespace

TEST_CASE("log: a channel's quality is a sentence with the channel's name and no code") {
    const Config config = station();
    std::set<std::string> said;
    for (int i = 0; i < kQualities; ++i) {
        const auto quality = static_cast<Quality>(i);
        const std::string line = log_words(quality_of(1, quality), config);
        CAPTURE(line);
        CHECK(line.find("exhaust: ") == 0);
        CHECK(line.size() > 20);
        CHECK_FALSE(has(line, "_"));
        CHECK(said.insert(line).second);
    }
    CHECK(log_words(quality_of(0, Quality::never_read), config) ==
          "bean: no reading has come since the start");
    CHECK(has(log_words(quality_of(1, Quality::stale), config), "for more than 2.5 s"));
    CHECK(has(log_words(quality_of(1, Quality::bus_silent), config), "the bus \"logger\" does not answer"));
    CHECK(has(log_words(quality_of(0, Quality::out_of_span), config), "-50 to 1000 °C"));
    CHECK(has(log_words(quality_of(0, Quality::reversed), config),
              "heated. Are the two wires of the thermocouple the wrong way round"));
}

TEST_CASE("log: a quality that may come from the sensor says so") {
    Config config = station();
    SensorSource& sensor = config.buses[1].channels[0].sensor;
    const auto said = [&](Quality quality) { return log_words(quality_of(1, quality), config); };
    CHECK(!has(said(Quality::out_of_span), "; or"));
    sensor = SignalSource{};
    CHECK(has(said(Quality::out_of_span), "or the signal lies outside 3.6 to 21 (mA or V)"));
    sensor = RtdSource{};
    CHECK(has(said(Quality::out_of_span), "a short or a broken wire"));
    CHECK(!has(said(Quality::bad_reply), "; or"));
    ThermocoupleSource thermocouple;
    thermocouple.cold_junction.emplace();
    thermocouple.cold_junction->name = "terminals";
    sensor = thermocouple;
    CHECK(has(said(Quality::bad_reply), "its cold junction, \"terminals\", has no good reading"));
}

TEST_CASE("log: the box's health is a sentence with what it means, bad and well again") {
    const Config config = station();
    std::set<std::string> said;
    for (const Health health :
         {Health::bus_silent, Health::record_failing, Health::disk_low, Health::clock_unsynchronised,
          Health::sounder_failed, Health::simulated_clock_apart, Health::sounder_tested}) {
        for (const bool bad : {true, false}) {
            const std::string line = log_words(health_of(health, bad), config);
            CAPTURE(line);
            CHECK(line.size() > 20);
            CHECK_FALSE(has(line, "_"));
            CHECK(said.insert(line).second);
        }
    }
    CHECK(log_words(health_of(Health::bus_silent, true, 1), config).find("the bus \"logger\" does not") == 0);
    CHECK(has(log_words(health_of(Health::clock_unsynchronised, true), config), "not synchronised"));
}

TEST_CASE("log: a sounder that fails is said by its name, with why and what to do") {
    Config config = station();
    config.sounders.resize(2);
    config.sounders[0].name = "horn";
    config.sounders[0].coil = CoilConfig{0, 4};
    config.sounders[1].name = "player";
    CHECK(log_words(health_of(Health::sounder_failed, true, 0), config, "no answer in time") ==
          "the sounder \"horn\" can't be reached: no answer in time; alarms may not be heard there: look at "
          "its "
          "cable, its power and the coil's address");
    CHECK(log_words(health_of(Health::sounder_tested, true, 1), config, "it ended with status 3")
              .find("the sounder \"player\" was tested and did not work: it ended with status 3; ") == 0);
    CHECK(log_words(health_of(Health::sounder_failed, false, 1), config) ==
          "the sounder \"player\" can be reached again");
    CHECK(log_words(health_of(Health::sounder_tested, false, 1), config) ==
          "the sounder \"player\" was tested and works");
}

TEST_CASE("log: alarms have their names in words, and a temperature where they measure one") {
    Event event;
    event.kind = EventKind::alarm_raised;
    event.occurrence = 3;
    event.value_milli = 241'040;
    for (std::size_t i = 0; i < kAlarmRules; ++i) {
        event.rule = static_cast<AlarmRule>(i);
        const std::string line = log_words(event, station());
        CAPTURE(line);
        CHECK(line.find("alarm 3 raised: ") == 0);
        CHECK_FALSE(has(line, "_"));
        const AlarmUnit unit = unit_of(event.rule);
        CHECK(has(line, "241.0") == (unit != AlarmUnit::none));
        CHECK(has(line, " °C") == (unit == AlarmUnit::celsius || unit == AlarmUnit::celsius_per_min));
    }
    event.kind = EventKind::alarm_cleared;
    event.rule = AlarmRule::bean_high_high;
    CHECK(log_words(event, station()) == "alarm 3 cleared: bean overtemperature");
}

TEST_CASE("log: the journal's words are what they were, since stored watches are held against them") {
    CHECK(words(quality_of(0, Quality::never_read)) == "channel 0 is never_read");
    CHECK(words(health_of(Health::clock_unsynchronised, true)) == "clock_unsynchronised: bad");
    Event dropped;
    dropped.kind = EventKind::target_dropped;
    CHECK(log_words(dropped, station()) == words(dropped));
}

TEST_CASE("log: an event of a channel that the configuration has not is still said") {
    CHECK(log_words(quality_of(9, Quality::stale), station()) == "channel 9 is stale");
    CHECK(has(log_words(health_of(Health::bus_silent, true, 9), station()), "the bus \"?\""));
}

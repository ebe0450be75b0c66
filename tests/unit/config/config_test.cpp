// The configuration file: what is right is read exactly, and every mistake is found at its place.
#include <doctest/doctest.h>

#include <algorithm>
#include <iomanip>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>

#include "config/config.hpp"
#include "unit/config/reading.hpp"
#include "unit/files/scratch.hpp"

using namespace drumwatch;

TEST_CASE("config: every key is read") {
    const Config config = right(kFullConfig);
    CHECK(config.path == kPath);
    CHECK(config.station == "Saltmarsh Mill, station 2");
    CHECK(config.machine == "12 kg drum");
    CHECK(config.tick_ms == 500);
    CHECK(config.simulated->speed == 4);
    REQUIRE(config.buses.size() == 4);
    const BusConfig& modbus = config.buses[0];
    CHECK(modbus.name == "controller");
    CHECK(modbus.kind == BusKind::modbus_tcp);
    CHECK(modbus.host == "127.0.0.1");
    CHECK(modbus.port == 15020);
    CHECK(modbus.timeout_ms == 400);
    CHECK(modbus.time_register == 3);
    CHECK(modbus.writable_coils == std::vector<std::uint16_t>{4, 5});
    REQUIRE(modbus.channels.size() == 12);
    const ChannelSource& bean = modbus.channels[0];
    CHECK(bean.channel == 0);
    CHECK(bean.unit == SourceUnit::fahrenheit);
    CHECK(bean.scale == 0.1);
    CHECK(bean.offset == -1.5);
    REQUIRE(bean.modbus);
    CHECK(bean.modbus->table == RegisterTable::holding);
    CHECK(bean.modbus->address == 7);
    CHECK(bean.modbus->unit_id == 9);
    CHECK(bean.modbus->type == DataType::int32);
    CHECK(bean.modbus->order == WordOrder::cdab);
    CHECK(bean.modbus->open_raw == -1);
    const ColdJunctionChannel terminals{10, "terminals", -40'000, 125'000, 2500};
    CHECK(modbus.channels[7].sensor == SensorSource{ThermocoupleSource{'N', 0, terminals}});
    CHECK(modbus.channels[8].sensor == SensorSource{ThermocoupleSource{'J', 25, std::nullopt}});
    CHECK(modbus.channels[9].sensor == SensorSource{RtdSource{RtdType::pt1000}});
    CHECK(modbus.channels[10].sensor == SensorSource{SignalSource{4, 20, 0, 60, 3.7, 20.8}});
    CHECK(modbus.channels[10].unit == SourceUnit::millibar);
    CHECK(config.channels[11].unit == Unit::kilopascal);
    CHECK(modbus.channels[11].sensor == SensorSource{PulseSource{4, true, 16}});
    CHECK(modbus.channels[1].sensor == SensorSource{});
    CHECK(modbus.channels[1].channel == 2);
    CHECK(modbus.channels[1].modbus->address == 65535);
    const BusConfig& serial = config.buses[1];
    CHECK(serial.kind == BusKind::serial_text);
    CHECK(serial.device == "/dev/serial/by-id/logger");
    CHECK(serial.baud == 9600);
    CHECK(serial.delimiter == ';');
    CHECK(serial.timeout_ms == 3000);
    CHECK(serial.writable_coils.empty());
    CHECK(serial.channels.at(0).text->field == 2);
    CHECK(serial.channels.at(0).text->open_text == "---");
    CHECK(serial.decimal_comma);
    CHECK(serial.checksum == Checksum::xor_sum);
    CHECK(serial.fields == 3);
    CHECK(serial.poll == "READ\r\n");
    CHECK(serial.channels.at(1).text->key == "feed");
    CHECK(serial.channels.at(1).text->suffix == "g/s");
    const BusConfig& line = config.buses[2];
    CHECK(line.kind == BusKind::modbus_rtu);
    CHECK(line.device == "/dev/serial/by-id/line");
    CHECK(line.baud == 38400);
    CHECK(line.parity == Parity::none);
    CHECK(line.stop_bits == 1);
    CHECK(line.timeout_ms == 300);
    CHECK(line.units == std::vector<BusUnit>{{3, 600, 20}});
    CHECK(line.channels.at(0).modbus->unit_id == 3);
    CHECK(line.channels.at(0).span_low_milli == config.channels[13].span_low_milli);
    CHECK(line.channels.at(0).span_high_milli == config.channels[13].span_high_milli);
    const BusConfig& played = config.buses[3];
    CHECK(played.kind == BusKind::playback);
    CHECK(played.device.ends_with("captures/machine.jsonl"));
    CHECK(played.repeat);
    CHECK(played.channels.at(0).captured == "past");
    REQUIRE(config.channels.size() == 16);
    CHECK(config.channels[0].role == Role::bean);
    CHECK(config.channels[0].unit == Unit::celsius);
    CHECK(config.channels[0].span_low_milli == -20'000);   // -4 °F
    CHECK(config.channels[0].span_high_milli == 400'000);  // 752 °F
    CHECK(config.channels[0].max_age_ms == 2000);
    CHECK(config.channels[0].probe_lag_ms == 4000);
    CHECK(config.channels[1].probe_lag_ms == 0);
    CHECK(config.channels[1].twin == std::uint8_t{3});
    CHECK(config.channels[1].twin_limit_milli == 6'000);
    CHECK(!config.channels[3].twin);
    CHECK(config.probes.check_every_days == 180);
    CHECK(config.probes.altitude_m == 120);
    CHECK(config.probes.largest_correction_milli == 4'000);
    CHECK(config.channels[2].unit == Unit::percent);
    REQUIRE(config.sounders.size() == 1);
    CHECK(config.sounders[0].coil == CoilConfig{0, 4});
    CHECK(config.sounders[0].what == Indicator::buzzer);
    CHECK(config.sounder_test_at == 4 * 60 + 15);
    CHECK(!config.chirp_at_start);
    CHECK(config.chime_prompts);
    REQUIRE(config.buttons.size() == 2);
    CHECK(
        config.buttons[0].line ==
        ButtonInput{
            "green button", {"/dev/gpiochip0", 22, true}, PullResistor::up, 30, ButtonMeaning::acknowledge});
    CHECK(!config.buttons[0].bus);
    CHECK(config.buttons[1].name == "next_mark");
    CHECK(config.buttons[1].meaning == ButtonMeaning::next_mark);
    CHECK(config.buttons[1].bus == 0);
    CHECK(config.buses[0].discrete_inputs == std::vector<DiscreteInput>{{3, 2}});
    CHECK(config.heartbeat->address == 5);
    CHECK(config.limiter.stated);
    CHECK(config.limiter.place == "bean");
    CHECK(config.limiter.setting_c == 250);
    const RuleSettings& high = config.alarms[AlarmRule::bean_high_high];
    CHECK(high.limit == 235);
    CHECK(high.deadband == 4);
    CHECK(high.on_delay_ms == 2000);
    CHECK(high.off_delay_ms == 12000);
    CHECK(high.priority == Priority::high);
    CHECK(!high.latches);
    const RuleSettings& exhaust = config.alarms[AlarmRule::exhaust_high];
    CHECK(exhaust.on);
    CHECK(exhaust.limit == 300);
    CHECK(exhaust.latches);
    CHECK(exhaust.priority == Priority::low);
    CHECK(config.alarms[AlarmRule::drift].limit == 3);
    CHECK(config.alarms[AlarmRule::drift].deadband == 0.5);
    CHECK(config.alarms[AlarmRule::bus_silent].priority == Priority::high);
    CHECK(config.alarms[AlarmRule::record_failing].on_delay_ms == 500);
    CHECK(config.limiter.tested == "2026-03-31");
    CHECK(config.limiter.test_every_months == 6);
    CHECK(config.site_card == "Call the floor lead.");
    CHECK(config.verdict.gap_s == 17);
    CHECK(config.verdict.end_hold_c == 2.6);
    CHECK(config.record.path == "/srv/station/data/watch.sqlite");
    CHECK(config.record.raw_months == 6);
    CHECK(config.record.budget_mb == 500);
    REQUIRE(config.record.backup);
    CHECK(*config.record.backup == BackupConfig{"/srv/station/stick", 12, 7, true});
    CHECK(config.web.host == "192.168.10.20");
    CHECK(config.web.port == 8080);
    CHECK(config.web.allowed_hosts == std::vector<std::string>{"station-2.local"});
    CHECK(config.targets == std::vector<std::string>{"/srv/station/targets/a.json", "/srv/b.json"});
    CHECK(config.chosen_target == "a");
}

TEST_CASE("config: every alarm's section is read, each number where it belongs") {
    const Config config = right(kFullConfig);
    using R = RuleSettings;
    using enum AlarmRule;
    const auto& alarms = config.alarms;
    const R reading{true, 0, 6, 7'000, 21'000, Priority::high, true};
    for (const auto& [rule, limit] :
         {std::pair{inlet_high, 450.0}, {drum_high, 280.0}, {oxidiser_cold, 700.0}}) {
        R expected = reading;
        expected.limit = limit;
        CHECK(alarms[rule] == expected);
    }
    CHECK(alarms[bean_high] == R{true, 8, 1.5, 4'000, 9'000, Priority::low, true});
    CHECK(alarms[drop_overdue] == R{true, 4, 1.5, 4'000, 9'000, Priority::low, true});
    CHECK(alarms[stall] == R{true, 0.5, 2, 30'000, 31'000, Priority::low, false});
    CHECK(alarms[runaway_rise] == R{true, 9, 2, 30'000, 31'000, Priority::low, false});
    CHECK(alarms[flame_out] == R{true, 25, 2, 30'000, 31'000, Priority::low, false});
    CHECK(alarms[cooling_slow] == R{true, 20, 3, 240'000, 11'000, Priority::medium, false});
    CHECK(alarms[carbon_monoxide_high] == R{true, 90, 4, 12'000, 40'000, Priority::high, true});
    CHECK(alarms[carbon_monoxide] == R{true, 30, 3, 13'000, 41'000, Priority::high, false});
    CHECK(alarms[bean_probe_fault].bad_readings == 2);
    CHECK(alarms[bean_probe_fault].of_readings == 6);
    for (const AlarmRule rule : {probe_fault, disk_low, clock_doubtful, processor_hot, sounder_failed})
        CHECK(alarms[rule] == R{true, 0, 0, 8'000, 33'000, Priority::low, true});
    const auto& own = config.advice[static_cast<std::size_t>(drift)];
    CHECK(own == SiteAdvice{"Look at the burner first.", "a late move", "the cup", 45, "floor lead"});
    CHECK(config.advice[static_cast<std::size_t>(stall)].owner == "floor lead");
    CHECK_FALSE(config.advice[static_cast<std::size_t>(stall)].response);
}

TEST_CASE("config: sounders of each kind are read, with names of their own or by what they stand on") {
    const Config config = right(full_with("/sounders").dump());
    REQUIRE(config.sounders.size() == 3);
    const SounderConfig& light = config.sounders[0];
    CHECK(light.name == "horn");
    CHECK(kind_name(light) == "coil");
    CHECK(light.coil == CoilConfig{0, 4});
    CHECK(light.what == Indicator::red);
    CHECK(config.buses[0].writable_coils == std::vector<std::uint16_t>{4, 5});
    const SounderConfig& line = config.sounders[1];
    CHECK(kind_name(line) == "gpio");
    CHECK(line.name == "line 17 of /dev/gpiochip0");
    CHECK(line.output.name == line.name);
    CHECK(line.output.line == GpioPlace{"/dev/gpiochip0", 17, true});
    CHECK(line.output.voice == 2);
    CHECK(line.output.on_silence == OnSilence::box_dead);
    const SounderConfig& command = config.sounders[2];
    CHECK(kind_name(command) == "command");
    CHECK(command.name == "/usr/bin/player");
    CHECK(command.output.command ==
          std::vector<std::string>{"/usr/bin/player", "{priority}", "/srv/alarm.wav"});
    CHECK(command.output.limit_ms == 2'500);
    CHECK(right(changed("/sounder_test_at", "never")).sounder_test_at == std::nullopt);
    CHECK(right(changed("/sounder_test_at", "00:00")).sounder_test_at == 0);
}

TEST_CASE("config: a button may be an input that a capture has") {
    std::string text = kFullConfig;
    const std::string live = R"("bus": "controller", "discrete_input": 3)";
    const std::size_t at = text.find(live);
    REQUIRE(at != std::string::npos);
    const Config config = right(text.replace(at, live.size(), R"("bus": "played", "discrete_input": 3)"));
    CHECK(config.buttons[1].bus == 3);
    CHECK(config.buses[3].discrete_inputs == std::vector<DiscreteInput>{{3, 2}});
    CHECK(config.buses[0].discrete_inputs.empty());
}

TEST_CASE("config: the smallest file has the defaults") {
    const Config config = right(R"({
        // comments are welcome
        "station": "x", "limiter": "none stated", "record": {"path": "r.sqlite"},
        "buses": [{"name": "m", "kind": "modbus_tcp", "host": "h"}, {"name": "s", "kind": "serial_text", "device": "/dev/ttyS0"}],
        "channels": [{"name": "bean", "bus": "m", "unit": "°C", "modbus": {"table": "input", "address": 0}}]})");
    CHECK(config.tick_ms == 250);
    CHECK(!config.simulated);
    CHECK(config.buses[0].port == 502);
    CHECK(config.buses[0].timeout_ms == 300);
    CHECK(config.buses[1].timeout_ms == 2000);
    CHECK(config.buses[1].baud == 115200);
    CHECK(config.buses[0].writable_coils.empty());  // nothing may be written unless the file says so
    CHECK(config.sounders.empty());
    CHECK(config.buttons.empty());
    CHECK(config.sounder_test_at == 5 * 60 + 30);
    CHECK(config.chirp_at_start);
    CHECK(!config.limiter.stated);
    CHECK(config.channels[0].max_age_ms == 3000);
    CHECK(config.alarms[AlarmRule::bean_high_high].limit == 240);
    CHECK(config.alarms[AlarmRule::bean_high_high].latches);
    CHECK(!config.alarms[AlarmRule::exhaust_high].on);
    CHECK(config.web.host == "127.0.0.1");
    CHECK(config.chosen_target.empty());
}

namespace {

std::string fnv_1a(const char* text) {
    std::uint64_t hash = 0xcbf29ce484222325U;
    for (const char* c = text; *c != '\0'; ++c)
        hash = (hash ^ static_cast<unsigned char>(*c)) * 0x100000001b3U;
    std::ostringstream out;
    out << std::hex << std::setw(16) << std::setfill('0') << hash;
    return out.str();
}

}  // namespace

TEST_CASE("config: the hash is FNV-1a and follows the bytes") {
    // Test vectors of draft-eastlake-fnv, 64-bit FNV-1a (from memory).
    CHECK(fnv_1a("") == "cbf29ce484222325");
    CHECK(fnv_1a("foobar") == "85944171f73967e8");
    CHECK(right(kFullConfig).hash == fnv_1a(kFullConfig));
    CHECK(right(std::string(kFullConfig) + " ").hash != fnv_1a(kFullConfig));
}

TEST_CASE("config: private and loopback addresses are welcome") {
    for (const char* host : {"127.0.0.1", "10.1.2.3", "172.16.0.1", "172.31.255.1", "192.168.0.2",
                             "169.254.7.7", "::1", "fd00::1", "fe80::1", "localhost"}) {
        CHECK(right(changed("/web/host", host)).web.host == host);
    }
    for (const char* host :
         {"172.32.0.1", "192.169.0.1", "8.8.8.8", "::", "2001:db8::1", "example.com", ""}) {
        wrong(changed("/web/host", host));
    }
}

TEST_CASE("config: stepped time needs a machine that keeps time") {
    CHECK(right(changed("/simulated", {{"stepped", true}})).simulated->stepped);
    Json json = Json::parse(changed("/simulated", {{"stepped", true}}));
    json["buses"][0].erase("time_register");
    const auto mistakes = wrong(json.dump());
    REQUIRE(mistakes.size() == 1);
    CHECK(mistakes[0].pointer == "/simulated");
}

TEST_CASE("config: the default limit counts against the limiter too") {
    Json json = Json::parse(changed("/alarms/bean_high_high", nullptr));
    json["limiter"]["setting_c"] = 240;
    const auto mistakes = wrong(json.dump());
    REQUIRE(mistakes.size() == 1);
    CHECK(mistakes[0].pointer == "/limiter");
    CHECK(has(mistakes[0].message, "240 °C unless \"alarms\" sets another, must be below"));
    json["limiter"]["place"] = "exhaust duct";  // another place: nothing to compare
    right(json.dump());
}

TEST_CASE("config: all mistakes come at once, in the file's order, with line and column") {
    const auto mistakes = wrong(
        "{\n  \"station\": 5,\n  \"limiter\": \"none stated\",\n  \"tick\": 250,\n  \"buses\": [\n    "
        "{\"name\": \"m\", \"kind\": \"modbus_tcp\",\n     \"host\": \"h\", \"port\": 0}],\n  \"channels\": "
        "{},\n  \"record\": {\"path\": \"r\", \"path\": \"s\"}\n}");
    std::string all;
    for (const ConfigMistake& mistake : mistakes) all += format_mistake("station.json", mistake) + "\n";
    CHECK(all ==
          "station.json:2:14: /station: is a number; text in quotes would be right\n"
          "station.json:4:3: /tick: is not a known key; did you mean \"tick_ms\"?\n"
          "station.json:7:27: /buses/0/port: is 0; a number from 1 to 65535 would be right\n"
          "station.json:8:15: /channels: is an object; a list in brackets would be right\n"
          "station.json:9:27: /record/path: is there twice; keep one\n");
}

TEST_CASE("config: a file that is not there, not JSON, or too large is a sentence") {
    const Scratch scratch;
    const auto says = [](const std::string& path) {
        const ConfigReading reading = read_config(path);
        CHECK(!reading.config);
        REQUIRE(reading.mistakes.size() == 1);
        return format_mistake(path, reading.mistakes[0]);
    };
    CHECK(says("/nowhere/station.json") == "/nowhere/station.json: there is no such file");
    CHECK(has(says(scratch.path("")), "this is a folder"));
    const std::string broken = scratch.write("a.json", "{\n  \"station\": \"x\n}");
    CHECK(has(says(broken), broken + ":2:14: /station: not JSON: "));
    CHECK(read_config(broken).readable);
    CHECK(!read_config("/nowhere/station.json").readable);
    CHECK(has(says(scratch.write("b.json", "")), ":1:1: not JSON: "));
    CHECK(has(says(scratch.write("c.json", std::string(2'000'000, ' '))), "larger than 1 MiB"));
    CHECK(has(says(scratch.write("d.json", std::string(100, '['))), "nested more than 32 deep"));
    CHECK(has(says(scratch.write("e.json",
                                 "\x7f"
                                 "ELF\x02\x01")),
              "not JSON"));
}

TEST_CASE("config: target files are looked into when the file is read") {
    const Scratch scratch;
    const char* const target =
        R"({"drumwatch_target": 1, "name": "Fen Meadow, washed", "points": [[0, 195], [600, 206]]})";
    scratch.write("targets/a.json", target);
    scratch.write("targets/b.json", "{}");
    const auto read = [&](const char* targets, const char* chosen) {
        Json json = Json::parse(kFullConfig);
        json["targets"] = Json::parse(targets);
        json["target"] = chosen;
        const ConfigReading reading = read_config(scratch.write("station.json", json.dump()));
        std::string all;
        for (const ConfigMistake& mistake : reading.mistakes)
            all += mistake.pointer + " " + mistake.message + "\n";
        CHECK(reading.config.has_value() == all.empty());
        return all;
    };
    CHECK(read(R"(["targets/a.json"])", "Fen Meadow, washed") == "");
    CHECK(has(read(R"(["targets/a.json"])", "Fen Medow"),
              "/target no target file is called \"Fen Medow\"; \"Fen Meadow, washed\" would be right"));
    CHECK(has(read(R"(["targets/c.json"])", "x"),
              "/targets/0 " + scratch.path("targets/c.json") + ": there is no such file"));
    CHECK(has(read(R"(["targets/a.json", "targets/b.json"])", "Fen Meadow, washed"), "/targets/1 "));
    CHECK(has(read(R"(["targets/a.json", "targets/a.json"])", "Fen Meadow, washed"),
              "/targets two of the files"));
}

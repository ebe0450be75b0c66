// The configuration file: what is right is read exactly, and every mistake is found at its place.
#include <doctest/doctest.h>

#include <algorithm>
#include <iomanip>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>

#include "config/config.hpp"
#include "config/keys.hpp"
#include "unit/config/full_config.hpp"
#include "unit/files/scratch.hpp"

using namespace drumwatch;
using Json = nlohmann::json;

namespace {

constexpr const char* kPath = "/srv/station/station.json";

Config right(const std::string& text) {
    const ConfigReading reading = parse_config(text, kPath);
    for (const ConfigMistake& mistake : reading.mistakes) MESSAGE(format_mistake(kPath, mistake));
    REQUIRE(reading.config.has_value());
    return *reading.config;
}

std::vector<ConfigMistake> wrong(const std::string& text) {
    const ConfigReading reading = parse_config(text, kPath);
    CHECK_MESSAGE(!reading.config, text);
    return reading.mistakes;
}

bool has(const std::string& text, std::string_view part) { return text.find(part) != std::string::npos; }

/// The full configuration with the value at `pointer` put there (or taken away: null).
std::string changed(const std::string& pointer, const Json& value) {
    Json json = Json::parse(kFullConfig);
    const Json::json_pointer at(pointer);
    if (value.is_null()) {
        json.at(at.parent_pointer()).erase(at.back());
    } else {
        json[at] = value;
    }
    return json.dump();
}

/// "/channels/*/text" -> "/channels/1/text", the first that exists; then the key.
std::string pointer_in_full(std::string_view section, std::string_view key) {
    const Json json = Json::parse(kFullConfig);
    for (int i = 0; i < 3; ++i) {
        std::string pointer(section);
        if (const auto star = pointer.find('*'); star != std::string::npos)
            pointer.replace(star, 1, std::to_string(i));
        pointer += "/" + std::string(key);
        if (json.contains(Json::json_pointer(pointer))) return pointer;
    }
    return {};
}

}  // namespace

TEST_CASE("config: every key is read") {
    const Config config = right(kFullConfig);
    CHECK(config.path == kPath);
    CHECK(config.station == "Saltmarsh Mill, station 2");
    CHECK(config.machine == "12 kg drum");
    CHECK(config.tick_ms == 500);
    CHECK(config.simulated->speed == 4);
    REQUIRE(config.buses.size() == 2);
    const BusConfig& modbus = config.buses[0];
    CHECK(modbus.name == "controller");
    CHECK(modbus.kind == BusKind::modbus_tcp);
    CHECK(modbus.host == "127.0.0.1");
    CHECK(modbus.port == 15020);
    CHECK(modbus.timeout_ms == 400);
    CHECK(modbus.time_register == 3);
    CHECK(modbus.writable_coils == std::vector<std::uint16_t>{4, 5});
    REQUIRE(modbus.channels.size() == 2);
    const ChannelSource& bean = modbus.channels[0];
    CHECK(bean.channel == 0);
    CHECK(bean.fahrenheit);
    CHECK(bean.scale == 0.1);
    CHECK(bean.offset == -1.5);
    REQUIRE(bean.modbus);
    CHECK(bean.modbus->table == RegisterTable::holding);
    CHECK(bean.modbus->address == 7);
    CHECK(bean.modbus->unit_id == 9);
    CHECK(bean.modbus->type == DataType::int32);
    CHECK(bean.modbus->order == WordOrder::cdab);
    CHECK(bean.modbus->open_raw == -1);
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
    REQUIRE(config.channels.size() == 3);
    CHECK(config.channels[0].role == Role::bean);
    CHECK(config.channels[0].unit == Unit::celsius);
    CHECK(config.channels[0].span_low_milli == -20'000);   // -4 °F
    CHECK(config.channels[0].span_high_milli == 400'000);  // 752 °F
    CHECK(config.channels[0].max_age_ms == 2000);
    CHECK(config.channels[2].unit == Unit::percent);
    CHECK(config.sounder->bus == 0);
    CHECK(config.sounder->address == 4);
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
    CHECK(config.site_card == "Call the floor lead.");
    CHECK(config.verdict.gap_s == 17);
    CHECK(config.verdict.end_hold_c == 2.6);
    CHECK(config.record.path == "/srv/station/data/watch.sqlite");
    CHECK(config.record.raw_months == 6);
    CHECK(config.record.budget_mb == 500);
    CHECK(config.web.host == "192.168.10.20");
    CHECK(config.web.port == 8080);
    CHECK(config.web.allowed_hosts == std::vector<std::string>{"station-2.local"});
    CHECK(config.targets == std::vector<std::string>{"/srv/station/targets/a.json", "/srv/b.json"});
    CHECK(config.chosen_target == "a");
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
    CHECK(!config.sounder);
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

TEST_CASE("config: a wrong type at any key is found at that key") {
    REQUIRE(parse_config(kFullConfig, kPath).config);
    for (const ConfigSection& section : kConfigSections) {
        for (const JsonKey& key : section.keys) {
            if (section.name == "coil" && section.pointer.empty()) continue;
            const std::string pointer = pointer_in_full(section.pointer, key.name);
            REQUIRE_MESSAGE(!pointer.empty(), section.pointer, " ", key.name,
                            " is not in the full configuration");
            const auto mistakes = wrong(changed(pointer, Json::array({Json::array()})));
            const bool found =
                std::any_of(mistakes.begin(), mistakes.end(), [&](const ConfigMistake& mistake) {
                    return mistake.pointer.compare(0, pointer.size(), pointer) == 0;
                });
            CHECK_MESSAGE(found, pointer);
        }
    }
}

TEST_CASE("config: every required key is missed when it is not there") {
    for (const ConfigSection& section : kConfigSections) {
        for (const JsonKey& key : section.keys) {
            if (!key.required) continue;
            const std::string pointer = pointer_in_full(section.pointer, key.name);
            const auto mistakes = wrong(changed(pointer, nullptr));
            const bool found =
                std::any_of(mistakes.begin(), mistakes.end(), [&](const ConfigMistake& mistake) {
                    return mistake.pointer == pointer && has(mistake.message, "is missing");
                });
            CHECK_MESSAGE(found, pointer);
        }
    }
}

TEST_CASE("config: an unknown key is found in every section") {
    for (const ConfigSection& section : kConfigSections) {
        const std::string pointer = pointer_in_full(section.pointer, section.keys[0].name);
        const std::string odd = pointer.substr(0, pointer.rfind('/')) + "/zzzzzzzzzz";
        const auto mistakes = wrong(changed(odd, 1));
        REQUIRE_MESSAGE(mistakes.size() == 1, odd);
        CHECK(mistakes[0].pointer == odd);
        CHECK(has(mistakes[0].message, "is not a known key"));
    }
}

TEST_CASE("config: bad values are refused with what would be right") {
    struct Row {
        const char* pointer;
        Json value;
        const char* at;
        const char* says;
    };
    const Json serial_bean = {{"name", "bean"}, {"bus", "logger"}, {"unit", "°C"}, {"text", {{"field", 1}}}};
    const Row rows[] = {
        {"/tick_ms", 300, "/tick_ms", "100, 125, 200, 250, 500 or 1000 ms"},
        {"/tick_ms", 250.5, "/tick_ms", "a whole number"},
        {"/tick_ms", true, "/tick_ms", "a number from 100 to 1000 ms"},
        {"/simulated", {{"speed", 21}}, "/simulated/speed", "from 1 to 20"},
        {"/simulated", Json::object(), "/simulated", "either \"speed\""},
        {"/simulated", {{"speed", 2}, {"stepped", true}}, "/simulated", "either \"speed\""},
        {"/simulated", nullptr, "/buses/0/time_register", "only a simulated station"},
        {"/buses", Json::array(), "/buses", "has 0 entries"},
        {"/buses/1/name", "controller", "/buses/1/name", "names another bus"},
        {"/buses/1/name", "Logger", "/buses/1/name", "lower-case"},
        {"/buses/0/kind", "modbus-tcp", "/buses/0/kind", "\"modbus_tcp\" or \"serial_text\""},
        {"/buses/0/host", nullptr, "/buses/0/host", "a modbus_tcp bus needs it"},
        {"/buses/1/device", nullptr, "/buses/1/device", "a serial_text bus needs it"},
        {"/buses/0/port", 70000, "/buses/0/port", "from 1 to 65535"},
        {"/buses/0/device", "/dev/ttyS0", "/buses/0/device", "has no meaning on a modbus_tcp bus"},
        {"/buses/1/host", "h", "/buses/1/host", "has no meaning on a serial_text bus"},
        {"/buses/1/baud", 14400, "/buses/1/baud", "1200, 2400"},
        {"/buses/1/delimiter", ".", "/buses/1/delimiter", "one character that no number has"},
        {"/buses/1/delimiter", ", ", "/buses/1/delimiter", "one character"},
        {"/buses/0/timeout_ms", 5, "/buses/0/timeout_ms", "from 50 to 10000 ms"},
        {"/channels", Json::array(), "/channels", "has 0 entries"},
        {"/channels/1/name", "bean", "/channels/1/name", "names another channel"},
        {"/channels/1/name", "Exhaust probe", "/channels/1/name", "lower-case"},
        {"/channels/1/name", "mark", "/channels/1/name", "column of its own"},
        {"/channels/0/name", "beam", "/channels", "no channel is called \"bean\""},
        {"/channels/1/bus", "loger", "/channels/1/bus", "did you mean \"logger\"?"},
        {"/channels/1/bus", "x", "/channels/1/bus", "the buses are \"controller\" or \"logger\""},
        {"/channels/0/unit", "C", "/channels/0/unit", "is \"C\"; \"°C\", \"°F\""},
        {"/channels/0/unit", "%", "/channels/0/unit",
         "does not fit a channel called \"bean\"; \"°C\" or \"°F\""},
        {"/channels/0/span", {400, -20}, "/channels/0/span", "[lowest, highest]"},
        {"/channels/0/span", {0, 1e9}, "/channels/0/span", "[lowest, highest]"},
        {"/channels/0/max_age_ms", 100, "/channels/0/max_age_ms", "from 500 to 60000 ms"},
        {"/channels/0/scale", 0, "/channels/0/scale", "every value the same"},
        {"/channels/0/modbus", nullptr, "/channels/0/modbus", "a channel on bus \"controller\" needs it"},
        {"/channels/0/text", {{"field", 1}}, "/channels/0/text", "has no meaning on bus \"controller\""},
        {"/channels/0/modbus/address", 300001, "/channels/0/modbus/address", "counted from 0 as on the wire"},
        {"/channels/0/modbus/address", 65535, "/channels/0/modbus/address", "0 to 65534"},
        {"/channels/0/modbus/address", -1, "/channels/0/modbus/address", "0 to 65534"},
        {"/channels/0/modbus/table", "coil", "/channels/0/modbus/table", "\"input\" or \"holding\""},
        {"/channels/0/modbus/unit_id", 250, "/channels/0/modbus/unit_id", "1 to 247 or 255"},
        {"/channels/0/modbus/type", "int8", "/channels/0/modbus/type", "\"int16\", \"uint16\""},
        {"/channels/0/modbus/order", "abcd", "/channels/0/modbus/order", "\"ABCD\""},
        {"/channels/2/modbus/order", "ABCD", "/channels/2/modbus/order",
         "no meaning for a value of one register"},
        {"/channels/2/modbus/open_raw", -1, "/channels/2/modbus/open_raw", "from 0 to 65535"},
        {"/channels/0/modbus/type", "float32", "/channels/0/modbus/open_raw", "no meaning for float32"},
        {"/channels/1/text/field", 0, "/channels/1/text/field", "from 1 to 64"},
        {"/heartbeat/coil", 4, "/heartbeat/coil", "the sounder is on this coil already"},
        {"/sounder/bus", "logger", "/sounder/bus", "has no coils"},
        {"/sounder/coil", 65536, "/sounder/coil", "from 0 to 65535"},
        {"/limiter", "none", "/limiter", "must be \"none stated\", or where"},
        {"/limiter/setting_c", 235, "/alarms/bean_high_high/limit_c",
         "must be below the limiter's setting at the bean probe, 235 °C"},
        {"/alarms/bean_high_high/limit_c", 250, "/alarms/bean_high_high/limit_c",
         "is 250 °C and must be below"},
        {"/alarms/bean_high_high/limit_c", 400, "/alarms/bean_high_high/limit_c", "from 150 to 300 °C"},
        {"/alarms/bean_high_high/on_delay_s", 61, "/alarms/bean_high_high/on_delay_s", "from 0 to 60 s"},
        {"/alarms/bean_high_high/priority", "urgent", "/alarms/bean_high_high/priority",
         "\"high\", \"medium\" or \"low\""},
        {"/alarms/bean_high_high/on", true, "/alarms/bean_high_high/on", "is not a known key"},
        {"/channels/0/span", {0, 400}, "/alarms/bean_high_high/limit_c", "it could never sound"},
        {"/alarms/exhaust_high/limit_c", nullptr, "/alarms/exhaust_high/limit_c", "is missing"},
        {"/channels/1/name", "chimney", "/alarms/exhaust_high", "no channel is called \"exhaust\""},
        {"/alarms/drift/limit_corridors", 0.5, "/alarms/drift/limit_corridors", "from 1 to 20 corridors"},
        {"/verdict/hold_c", 1, "/verdict/hold_c", "narrower than bean_c"},
        {"/record/raw_months", 0, "/record/raw_months", "from 1 to 240 months"},
        {"/record/budget_mb", 10, "/record/budget_mb", "from 50 to"},
        {"/record/path", "", "/record/path", "1 to 1024 bytes"},
        {"/web/host", "0.0.0.0", "/web/host", "a loopback or private address"},
        {"/web/host", "203.0.113.7", "/web/host",
         "a loopback or private address"},  // RFC 5737, a public block
        {"/web/port", -1, "/web/port", "from 0 to 65535"},
        {"/web/allowed_hosts/0", "http://x/", "/web/allowed_hosts/0", "without http://"},
        {"/targets", Json::array(), "/target", "\"targets\" lists no file"},
        {"/targets/0", 5, "/targets/0", "the name of a target file"},
    };
    for (const Row& row : rows) {
        const auto mistakes = wrong(changed(row.pointer, row.value));
        const bool found = std::any_of(mistakes.begin(), mistakes.end(), [&](const ConfigMistake& mistake) {
            return mistake.pointer == row.at && has(mistake.message, row.says);
        });
        std::string all;
        for (const ConfigMistake& mistake : mistakes) all += format_mistake("", mistake) + "\n";
        CHECK_MESSAGE(found, row.pointer, " ", row.value.dump(), "\n", all);
    }
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
    const std::string broken = scratch.write("a.json", "{\n  \"station\": \"x\",\n}");
    CHECK(has(says(broken), broken + ":3:1: not JSON: "));
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

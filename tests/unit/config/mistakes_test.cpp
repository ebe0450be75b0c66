// Every mistake that a configuration can have, one by one: found at its place, with what would be right.
#include <doctest/doctest.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <string>

#include "config/config.hpp"
#include "config/keys.hpp"
#include "unit/config/reading.hpp"

using namespace drumwatch;

TEST_CASE("config: a wrong type at any key is found at that key") {
    REQUIRE(parse_config(kFullConfig, kPath).config);
    for (const ConfigSection& section : kConfigSections) {
        for (const JsonKey& key : section.keys) {
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

TEST_CASE("config: a bus refuses every key that only other kinds have") {
    const Json buses = Json::parse(kFullConfig).at("buses");
    for (const BusKindKeys& kind : kBusKinds) {
        const auto of_kind = [&](const Json& bus) { return bus.at("kind") == kind.word; };
        const auto bus = std::find_if(buses.begin(), buses.end(), of_kind);
        REQUIRE_MESSAGE(bus != buses.end(), kind.word, " is not in the full configuration");
        for (const JsonKey& key : kBusKeys) {
            const auto same = [&](const JsonKey& other) { return other.name == key.name; };
            if (key.required || std::any_of(kind.keys.begin(), kind.keys.end(), same)) continue;
            const std::string name(key.name);
            const auto owner = std::find_if(buses.begin(), buses.end(),
                                            [&](const Json& other) { return other.contains(name); });
            REQUIRE(owner != buses.end());
            const std::string pointer = "/buses/" + std::to_string(bus - buses.begin()) + "/" + name;
            const auto mistakes = wrong(changed(pointer, owner->at(name)));
            const bool found =
                std::any_of(mistakes.begin(), mistakes.end(), [&](const ConfigMistake& mistake) {
                    return mistake.pointer == pointer &&
                           has(mistake.message, "has no meaning on a " + std::string(kind.word) + " bus");
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

TEST_CASE("config: the one sounder and the list of them are not taken together") {
    Json json = Json::parse(kFullConfig);
    json["sounders"] = Json::array();
    const auto mistakes = wrong(json.dump());
    REQUIRE(mistakes.size() == 1);
    CHECK(mistakes[0].pointer == "/sounders");
    CHECK(mistakes[0].message ==
          "\"sounder\" is there too: give either \"sounder\" (one coil) or \"sounders\" (a list)");
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
        {"/buses/0/kind", "modbus-tcp", "/buses/0/kind",
         "\"modbus_tcp\", \"modbus_rtu\", \"serial_text\" or \"playback\""},
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
        {"/channels/1/bus", "x", "/channels/1/bus",
         "the buses are \"controller\", \"logger\", \"line\" or \"played\""},
        {"/channels/0/unit", "C", "/channels/0/unit", "is \"C\"; \"°C\", \"°F\""},
        {"/channels/0/unit", "%", "/channels/0/unit",
         "does not fit a channel called \"bean\"; \"°C\", \"°F\" or \"K\""},
        {"/channels/0/span", {400, -20}, "/channels/0/span", "[lowest, highest]"},
        {"/channels/0/span", {0, 1e9}, "/channels/0/span", "[lowest, highest]"},
        {"/channels/0/max_age_ms", 100, "/channels/0/max_age_ms", "from 500 to 60000 ms"},
        {"/channels/0/probe_lag_ms", 40'000, "/channels/0/probe_lag_ms", "from 0 to 30000 ms"},
        {"/channels/1/probe_lag_ms", 4'000, "/channels/1/probe_lag_ms", "called \"bean\" only"},
        {"/channels/1/twin", "nobody", "/channels/1/twin", "no channel is called \"nobody\""},
        {"/channels/1/twin", "exhaust", "/channels/1/twin", "the channel itself"},
        {"/channels/1/twin", "burner", "/channels/1/twin", "for two temperatures"},
        {"/channels/1/twin_limit", 0.1, "/channels/1/twin_limit", "from 0.5 to 100 °C"},
        {"/channels/4/twin_limit", 3, "/channels/4/twin_limit", "no meaning without \"twin\""},
        {"/probes/check_every_days", 0, "/probes/check_every_days", "from 1 to 3650 days"},
        {"/probes/altitude_m", 9000, "/probes/altitude_m", "from -500 to 5000 m"},
        {"/probes/largest_correction_c", 0, "/probes/largest_correction_c", "from 0.1 to 20 °C"},
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
        {"/sounders/0/kind", "bell", "/sounders/0/kind", "\"coil\", \"gpio\" or \"command\""},
        {"/sounders/0/bus", "controler", "/sounders/0/bus", "did you mean \"controller\"?"},
        {"/sounders/0/bus", "logger", "/sounders/0/bus", "has no coils"},
        {"/sounders/0/bus", nullptr, "/sounders/0/bus", "a coil sounder needs it"},
        {"/sounders/0/coil", nullptr, "/sounders/0/coil", "a coil sounder needs it"},
        {"/sounders/0/coil", -1, "/sounders/0/coil", "from 0 to 65535"},
        {"/sounders/0/coil", 5, "/heartbeat/coil", "the sounder \"horn\" is on this coil already"},
        {"/sounders/0/what", "green", "/sounders/0/what", "\"blue\" or \"white\""},
        {"/sounders/0/voice", 1, "/sounders/0/voice", "no meaning for a coil sounder"},
        {"/sounders/0/name", "", "/sounders/0/name", "1 to 40 bytes"},
        {"/sounders/0/name", "/usr/bin/player", "/sounders/2/name", "another sounder is called"},
        {"/sounders/1/chip", "gpiochip0", "/sounders/1/chip", "the whole path of the chip's device"},
        {"/sounders/1/chip", nullptr, "/sounders/1/chip", "a gpio sounder needs it"},
        {"/sounders/1/line", 1024, "/sounders/1/line", "from 0 to 1023"},
        {"/sounders/1/line", 22, "/buttons/0/line",
         "the sounder \"line 22 of /dev/gpiochip0\" is on this line already"},
        {"/sounders/1/voice", 5, "/sounders/1/voice", "from 1 to 4"},
        {"/sounders/1/on_silence", "on", "/sounders/1/on_silence", "\"off\" or \"box_dead\""},
        {"/sounders/2/command", {"player"}, "/sounders/2/command/0", "the program's whole path"},
        {"/sounders/2/command", Json::array(), "/sounders/2/command", "has 0 entries"},
        {"/sounders/2/command", {"/bin/true", 7}, "/sounders/2/command/1", "must be text"},
        {"/sounders/2/command", nullptr, "/sounders/2/command", "a command sounder needs it"},
        {"/sounders/2/limit_s", 0, "/sounders/2/limit_s", "from 0.1 to 60 s"},
        {"/sounders/2/limit_s", 61, "/sounders/2/limit_s", "from 0.1 to 60 s"},
        {"/sounders/2/line", 3, "/sounders/2/line", "no meaning for a command sounder"},
        {"/sounders/2",
         {{"kind", "coil"}, {"bus", "controller"}, {"coil", 4}},
         "/sounders/2/coil",
         "the sounder \"horn\" is on this coil already"},
        {"/sounders/2",
         {{"kind", "gpio"}, {"chip", "/dev/gpiochip0"}, {"line", 17}},
         "/sounders/2/line",
         "the sounder \"line 17 of /dev/gpiochip0\" is on this line already"},
        {"/sounders", Json::array({Json::object()}), "/sounders/0/kind", "is missing"},
        {"/buttons/0/meaning", "stop", "/buttons/0/meaning", "\"acknowledge\""},
        {"/buttons/0/bus", "controller", "/buttons/0", "give either \"chip\" and \"line\""},
        {"/buttons/0/chip", nullptr, "/buttons/0", "give either \"chip\" and \"line\""},
        {"/buttons/0/line", nullptr, "/buttons/0/line", "a button on a line needs it"},
        {"/buttons/0/bias", "high", "/buttons/0/bias", "\"as_is\""},
        {"/buttons/0/debounce_ms", 501, "/buttons/0/debounce_ms", "from 0 to 500 ms"},
        {"/buttons/0/unit_id", 1, "/buttons/0/unit_id", "no meaning for a button on a line"},
        {"/buttons/1/bus", "logger", "/buttons/1/bus", "has no discrete inputs"},
        {"/buttons/1/bus", "nowhere", "/buttons/1/bus", "there is no bus \"nowhere\""},
        {"/buttons/1/discrete_input", nullptr, "/buttons/1/discrete_input", "a button on a bus needs it"},
        {"/buttons/1/discrete_input", 65536, "/buttons/1/discrete_input", "from 0 to 65535"},
        {"/buttons/1/unit_id", 250, "/buttons/1/unit_id", "1 to 247 or 255"},
        {"/buttons/1/debounce_ms", 20, "/buttons/1/debounce_ms", "no meaning for a button on a bus"},
        {"/buttons/2",
         {{"meaning", "silence"}, {"bus", "controller"}, {"discrete_input", 3}, {"unit_id", 2}},
         "/buttons/2/discrete_input",
         "another button is on this input"},
        {"/buttons/2",
         {{"meaning", "silence"}, {"chip", "/dev/gpiochip0"}, {"line", 22}},
         "/buttons/2/line",
         "the button \"green button\" is on this line already"},
        {"/sounder_test_at", "5:30", "/sounder_test_at", "a time of day such as \"05:30\""},
        {"/sounder_test_at", "24:00", "/sounder_test_at", "a time of day such as \"05:30\""},
        {"/chirp_at_start", "no", "/chirp_at_start", "true or false"},
        {"/chime_prompts", 1, "/chime_prompts", "true or false"},
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
        {"/limiter/tested", "31.3.2026", "/limiter/tested", "a date such as"},
        {"/limiter/tested", "2026-02-30", "/limiter/tested", "a date such as"},
        {"/limiter/test_every_months", 0, "/limiter/test_every_months", "from 1 to 60 months"},
        {"/alarms/carbon_monoxide/limit_ppm", 90, "/alarms/carbon_monoxide", "must be below"},
        {"/alarms/carbon_monoxide_high/on", false, "/alarms/carbon_monoxide_high/on", "is not a known key"},
        {"/alarms/bean_probe_fault/on", false, "/alarms/bean_probe_fault/on", "is not a known key"},
        {"/alarms/bean_probe_fault/bad_readings", 7, "/alarms/bean_probe_fault/bad_readings", "at most"},
        {"/alarms/bean_probe_fault/of_readings", 9, "/alarms/bean_probe_fault/of_readings", "from 1 to 8"},
        {"/alarms/oxidiser_cold/limit_c", nullptr, "/alarms/oxidiser_cold/limit_c", "is missing"},
        {"/alarms/cooling_slow/after_drop_s", -1, "/alarms/cooling_slow/after_drop_s", "from 0 to 3600 s"},
        {"/alarms/stall/on_delay_s", "NaN", "/alarms/stall/on_delay_s", "is text"},
        {"/alarms/flameout", Json::object(), "/alarms/flameout", "did you mean \"flame_out\""},
        {"/alarms/drift/advice/response", "", "/alarms/drift/advice/response", "must be 1 to 600 bytes"},
        {"/alarms/drift/advice/time_allowed_s", 0, "/alarms/drift/advice/time_allowed_s",
         "from 1 to 86400 s"},
        {"/alarms/flame_out/advice/response", "Call.", "/alarms/flame_out/advice/response", "site_card"},
        {"/alarms/inlet_high/limit_c", 1001, "/alarms/inlet_high/limit_c", "from 100 to 1000 °C"},
        {"/channels/6/span", {700, 900}, "/alarms/oxidiser_cold/limit_c", "it would always sound"},
        {"/channels/3/name", "under_floor", "/alarms/inlet_high", "no channel is called \"inlet\""},
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

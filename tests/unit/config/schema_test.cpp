// conf/: the schema and the README have the reader's keys, no more and no fewer; every example is right.
#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>
#include <string>
#include <utility>

#include "config/config.hpp"
#include "config/keys.hpp"

using namespace drumwatch;
using Json = nlohmann::json;

namespace {

std::string conf(const std::string& name) { return std::string(DRUMWATCH_SOURCE_DIR) + "/conf/" + name; }

std::string text_of(const std::string& path) {
    std::ifstream file(path);
    REQUIRE_MESSAGE(file.good(), path);
    std::stringstream text;
    text << file.rdbuf();
    return text.str();
}

}  // namespace

TEST_CASE("schema: each section has the reader's keys, and requires what the reader requires") {
    const Json schema = Json::parse(text_of(conf("station.schema.json")));
    CHECK(schema.at("$schema") == "https://json-schema.org/draft/2020-12/schema");
    std::set<std::string> sections;
    for (const ConfigSection& section : kConfigSections) {
        sections.insert(std::string(section.name));
        const Json& definition = schema.at("$defs").at(std::string(section.name));
        std::set<std::string> known, required, schema_known, schema_required;
        for (const JsonKey& key : section.keys) {
            known.emplace(key.name);
            if (key.required) required.emplace(key.name);
        }
        for (const auto& [key, value] : definition.at("properties").items()) {
            schema_known.insert(key);
            CHECK_MESSAGE((value.contains("description") || value.contains("$ref")), section.name, "/", key);
        }
        for (const Json& key : definition.value("required", Json::array())) schema_required.insert(key);
        CHECK_MESSAGE(schema_known == known, section.name);
        CHECK_MESSAGE(schema_required == required, section.name);
        CHECK_MESSAGE(definition.at("additionalProperties") == false, section.name);
    }
    CHECK(schema.at("$defs").size() == sections.size());
}

TEST_CASE("schema: the README of conf explains every key") {
    const std::string readme = text_of(conf("README.md"));
    for (const ConfigSection& section : kConfigSections) {
        for (const JsonKey& key : section.keys) {
            CHECK_MESSAGE(readme.find("`" + std::string(key.name) + "`") != std::string::npos, section.name,
                          "/", key.name);
        }
    }
}

TEST_CASE("schema: its defaults and the README's are those of the alarms") {
    const Json definitions = Json::parse(text_of(conf("station.schema.json"))).at("$defs");
    const std::string readme = text_of(conf("README.md"));
    const AlarmSettings alarms;
    const std::pair<const char*, AlarmRule> sections[] = {{"high_high", AlarmRule::bean_high_high},
                                                          {"exhaust_high", AlarmRule::exhaust_high},
                                                          {"drift", AlarmRule::drift}};
    for (const auto& [section, rule] : sections) {
        const Json& properties = definitions.at(section).at("properties");
        CHECK(properties.at("on_delay_s").at("default") ==
              static_cast<double>(alarms[rule].on_delay_ms) / 1000);
        CHECK(properties.at("off_delay_s").at("default") ==
              static_cast<double>(alarms[rule].off_delay_ms) / 1000);
    }
    CHECK(definitions.at("high_high").at("properties").at("limit_c").at("default") ==
          alarms[AlarmRule::bean_high_high].limit);
    CHECK(definitions.at("drift").at("properties").at("limit_corridors").at("default") ==
          alarms[AlarmRule::drift].limit);
    for (const AlarmRule rule :
         {AlarmRule::bean_probe_fault, AlarmRule::bus_silent, AlarmRule::record_failing}) {
        std::ostringstream line;
        line << "| `" << name(rule) << "` | `on_delay_s` "
             << static_cast<double>(alarms[rule].on_delay_ms) / 1000 << ", `off_delay_s` "
             << alarms[rule].off_delay_ms / 1000 << ",";
        CHECK_MESSAGE(readme.find(line.str()) != std::string::npos, line.str());
    }
}

TEST_CASE("conf: every example station is right as it is") {
    int stations = 0;
    for (const auto& entry : std::filesystem::directory_iterator(conf(""))) {
        const std::string path = entry.path().string();
        if (entry.path().extension() != ".json" || path.find(".schema.") != std::string::npos) continue;
        ++stations;
        const ConfigReading reading = read_config(path);
        for (const ConfigMistake& mistake : reading.mistakes) MESSAGE(format_mistake(path, mistake));
        CHECK_MESSAGE(reading.config.has_value(), path);
    }
    CHECK(stations >= 3);
}

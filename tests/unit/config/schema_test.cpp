// conf/: the schema and the README have the reader's keys, no more and no fewer; every example is right.
#include <doctest/doctest.h>

#include <cctype>
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

namespace {

using Json = nlohmann::json;

bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

std::string conf(const std::string& name) { return std::string(DRUMWATCH_SOURCE_DIR) + "/conf/" + name; }

std::string text_of(const std::string& path) {
    std::ifstream file(path);
    REQUIRE_MESSAGE(file.good(), path);
    std::stringstream text;
    text << file.rdbuf();
    return text.str();
}

/// So that a check shows which key is wanting.
std::string listed(const std::set<std::string>& keys) {
    std::string text;
    for (const std::string& key : keys) text += " " + key;
    return text;
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
        CHECK_MESSAGE(listed(schema_known) == listed(known), section.name);
        CHECK_MESSAGE(listed(schema_required) == listed(required), section.name);
        CHECK_MESSAGE(definition.at("additionalProperties") == false, section.name);
    }
    CHECK(schema.at("$defs").size() == sections.size());
}

TEST_CASE("schema: each kind of bus requires what the reader requires, and refuses what it refuses") {
    const Json bus = Json::parse(text_of(conf("station.schema.json"))).at("$defs").at("bus");
    Json words = Json::array();
    for (const BusKindKeys& kind : kBusKinds) {
        words.push_back(kind.word);
        const Json condition = {{"properties", {{"kind", {{"const", kind.word}}}}}, {"required", {"kind"}}};
        std::set<std::string> required{"name", "kind"}, taken{"name", "kind"}, schema_required, schema_taken;
        for (const JsonKey& key : kind.keys) {
            taken.emplace(key.name);
            if (key.required) required.emplace(key.name);
        }
        for (const Json& key : bus.at("required")) schema_required.insert(key);
        for (const auto& [key, value] : bus.at("properties").items()) schema_taken.insert(key);
        for (const Json& rule : bus.at("allOf")) {
            if (rule.at("if") != condition) continue;
            for (const Json& key : rule.at("then").at("required")) schema_required.insert(key);
            for (const auto& [key, value] : rule.at("then").at("properties").items())
                if (value == false) schema_taken.erase(key);
        }
        CHECK_MESSAGE(listed(schema_required) == listed(required), kind.word);
        CHECK_MESSAGE(listed(schema_taken) == listed(taken), kind.word);
    }
    CHECK(bus.at("properties").at("kind").at("enum") == words);
}

TEST_CASE("schema: the README of conf explains every key") {
    const std::string readme = text_of(conf("README.md"));
    for (const ConfigSection& section : kConfigSections) {
        for (const JsonKey& key : section.keys) {
            CHECK_MESSAGE(readme.find("`" + std::string(key.name) + "`") != std::string::npos, section.name,
                          "/", key.name);
        }
    }
    for (const BusKindKeys& kind : kBusKinds)
        CHECK_MESSAGE(has(readme, "`" + std::string(kind.word) + "`"), kind.word);
}

TEST_CASE("schema: the README's defaults are those of the alarms") {
    const std::string readme = text_of(conf("README.md"));
    const AlarmSettings alarms;
    for (const AlarmKeys& keys : kAlarmTable) {
        const std::size_t from = readme.find("\n| `" + std::string(keys.name()) + "` | ");
        REQUIRE_MESSAGE(from != std::string::npos, keys.name());
        const std::string line = readme.substr(from + 1, readme.find('\n', from + 1) - from - 1);
        const RuleSettings& rule = alarms[keys.rule];
        const auto says = [&](std::string_view key, double value) {
            std::ostringstream text;
            text << "`" << key << "` " << value;
            const std::size_t at = line.find(text.str());
            const bool found = at != std::string::npos && !std::isdigit(line[at + text.str().size()]);
            CHECK_MESSAGE(found, line, " lacks ", text.str());
        };
        says(keys.delay_key, static_cast<double>(rule.on_delay_ms) / 1000);
        says("off_delay_s", static_cast<double>(rule.off_delay_ms) / 1000);
        if (rule.on && !keys.limit_key.empty()) says(keys.limit_key, rule.limit);
        if (!keys.deadband_key.empty()) says(keys.deadband_key, rule.deadband);
        for (const JsonKey& key : keys.keys) {
            const std::string quoted = "`" + std::string(key.name) + "`";
            if (key.name == "priority") {
                CHECK_MESSAGE(has(line, quoted + " " + std::string(name(rule.priority))), line);
            } else if (key.name == "latches") {
                CHECK_MESSAGE(has(line, quoted + (rule.latches ? " true" : " false")), line);
            } else if (key.name != "advice") {
                CHECK_MESSAGE(has(line, quoted), line, " lacks ", quoted);
            }
        }
    }
    const Json definitions = Json::parse(text_of(conf("station.schema.json"))).at("$defs");
    CHECK(definitions.at("high_high").at("properties").at("limit_c").at("default") ==
          alarms[AlarmRule::bean_high_high].limit);
    CHECK(definitions.at("drift").at("properties").at("limit_corridors").at("default") ==
          alarms[AlarmRule::drift].limit);
    for (const AlarmKeys& keys : kAlarmTable)
        CHECK(definitions.at("alarms").at("properties").at(std::string(keys.name())).at("$ref") ==
              "#/$defs/" + std::string(keys.shape));
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

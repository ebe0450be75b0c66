// A configuration read in a test: right, or its mistakes; and the full one with one thing changed.
#pragma once

#include <doctest/doctest.h>

#include <nlohmann/json.hpp>
#include <string>
#include <string_view>
#include <vector>

#include "config/config.hpp"
#include "unit/config/full_config.hpp"

namespace drumwatch {

using Json = nlohmann::json;

inline constexpr const char* kPath = "/srv/station/station.json";

inline Config right(const std::string& text) {
    const ConfigReading reading = parse_config(text, kPath);
    for (const ConfigMistake& mistake : reading.mistakes) MESSAGE(format_mistake(kPath, mistake));
    REQUIRE(reading.config.has_value());
    return *reading.config;
}

inline std::vector<ConfigMistake> wrong(const std::string& text) {
    const ConfigReading reading = parse_config(text, kPath);
    CHECK_MESSAGE(!reading.config, text);
    return reading.mistakes;
}

inline bool has(const std::string& text, std::string_view part) {
    return text.find(part) != std::string::npos;
}

/// The full configuration; with its list of sounders where `pointer` is one of theirs.
inline Json full_with(std::string_view pointer) {
    Json json = Json::parse(kFullConfig);
    if (!pointer.starts_with("/sounders")) return json;
    json.erase("sounder");
    json["sounders"] = Json::parse(kFullSounders);
    return json;
}

/// The full configuration with the value at `pointer` put there (or taken away: null).
inline std::string changed(const std::string& pointer, const Json& value) {
    Json json = full_with(pointer);
    const Json::json_pointer at(pointer);
    if (value.is_null()) {
        json.at(at.parent_pointer()).erase(at.back());
    } else {
        json[at] = value;
    }
    return json.dump();
}

/// "/channels/*/text" -> "/channels/1/text", the first that exists; then the key. Of a list within a list its
/// first item.
inline std::string pointer_in_full(std::string_view section, std::string_view key) {
    for (int i = 0; i < 16; ++i) {
        std::string pointer(section);
        if (const auto star = pointer.find('*'); star != std::string::npos)
            pointer.replace(star, 1, std::to_string(i));
        if (const auto star = pointer.find('*'); star != std::string::npos) pointer.replace(star, 1, "0");
        pointer += "/" + std::string(key);
        if (full_with(pointer).contains(Json::json_pointer(pointer))) return pointer;
    }
    return {};
}

}  // namespace drumwatch

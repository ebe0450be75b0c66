#include "config/config.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

#include "config/keys.hpp"
#include "config/parts.hpp"
#include "files/file_bytes.hpp"

namespace drumwatch {
namespace {

constexpr std::size_t kMaxConfigBytes = 1024 * 1024;

/// FNV-1a, 64 bits (Fowler, Noll, Vo; IETF draft-eastlake-fnv): tells one file from another, is no signature.
std::string hash_of(std::string_view bytes) {
    std::uint64_t hash = 0xcbf29ce484222325U;
    for (const char byte : bytes) {
        hash ^= static_cast<unsigned char>(byte);
        hash *= 0x100000001b3U;
    }
    return fmt::format("{:016x}", hash);
}

void read_tick(JsonObject& root, Config& config) {
    if (root.read("tick_ms", config.tick_ms, {100, 1000, "ms"}) && !is_tick_period(config.tick_ms)) {
        root.complain("tick_ms", fmt::format("is {}; 100, 125, 200, 250, 500 or 1000 ms would be right",
                                             config.tick_ms));
    }
}

void read_station(JsonObject& root, Config& config, bool look_inside) {
    root.read("station", config.station, 80);
    root.read("machine", config.machine, 80);
    root.read("site_card", config.site_card, 600);
    read_tick(root, config);
    read_simulated(root, config);
    read_buses(root, config);
    read_channels(root, config);
    read_sounders(root, config);
    read_heartbeat(root, config);
    read_buttons(root, config);
    check_buses(root, config);
    read_limiter(root, config);
    read_alarms(root, config);
    if (auto verdict = root.object("verdict", kToleranceKeys)) read_tolerance(*verdict, config.verdict);
    read_reminders(root, config);
    read_probe_rules(root, config);
    read_record(root, config);
    read_web(root, config);
    read_targets(root, config, look_inside);
}

ConfigMistake as_config_mistake(const JsonMistake& mistake) {
    return {mistake.pointer, mistake.message, mistake.place.line, mistake.place.column};
}

ConfigReading read_text(const std::string& text, const std::string& path, bool look_inside) {
    ConfigReading reading;
    const JsonReading json = read_json(text, JsonComments::allowed);
    Config config;
    config.path = path;
    config.hash = hash_of(text);
    std::vector<JsonMistake> of_values;
    if (json.root) {
        JsonObject root(*json.root, "", kRootKeys, of_values);
        read_station(root, config, look_inside);
    }
    for (const JsonMistake& mistake : json.all(std::move(of_values)))
        reading.mistakes.push_back(as_config_mistake(mistake));
    if (reading.mistakes.empty()) reading.config = std::move(config);
    return reading;
}

}  // namespace

ConfigReading read_config(const std::string& path) {
    const auto bytes = read_file_bytes(path, kMaxConfigBytes);
    if (!bytes) {
        ConfigReading reading;
        reading.mistakes.push_back({"", bytes.error(), 0, 0});
        reading.readable = false;
        return reading;
    }
    return read_text(bytes.value(), path, true);
}

ConfigReading parse_config(const std::string& text, const std::string& path) {
    return read_text(text, path, false);
}

std::string format_mistake(const std::string& path, const ConfigMistake& mistake) {
    std::string out = path + ":";
    if (mistake.line > 0) out += fmt::format("{}:{}:", mistake.line, mistake.column);
    out += " ";
    if (!mistake.pointer.empty()) out += mistake.pointer + ": ";
    return out + mistake.message;
}

bool is_plain_name(std::string_view name) {
    const auto fits = [](char c) { return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '_'; };
    return !name.empty() && name.size() <= 32 && name[0] >= 'a' && name[0] <= 'z' &&
           std::all_of(name.begin(), name.end(), fits);
}

std::string beside(const Config& config, const std::string& name) {
    // operator/ gives `name` itself where it is absolute.
    return (std::filesystem::path(config.path).parent_path() / name).lexically_normal().string();
}

}  // namespace drumwatch

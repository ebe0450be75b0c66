// The limiter and the alarms: what a site can set, and what must hold between them.
#include <fmt/format.h>

#include <cmath>

#include "config/keys.hpp"
#include "config/parts.hpp"

namespace drumwatch {
namespace {

void read_delay(JsonObject& object, std::string_view key, std::int64_t& into_ms, double most_s) {
    double seconds = 0;
    if (!object.read(key, seconds, {0, most_s, "s"})) return;
    into_ms = static_cast<std::int64_t>(std::llround(seconds * 1000));
}

void read_common(JsonObject& object, RuleSettings& rule) {
    static constexpr std::string_view kPriorities[] = {"high", "medium", "low"};
    read_delay(object, "on_delay_s", rule.on_delay_ms, 60);
    read_delay(object, "off_delay_s", rule.off_delay_ms, 600);
    if (const auto priority = object.choice("priority", kPriorities)) {
        rule.priority = static_cast<Priority>(*priority + static_cast<std::size_t>(Priority::high));
    }
}

void read_temperature_rule(JsonObject& object, RuleSettings& rule, NumberRange limits) {
    object.read("limit_c", rule.limit, limits);
    object.read("deadband_c", rule.deadband, {0, 50, "°C"});
    object.read("latches", rule.latches);
    read_common(object, rule);
}

/// A limit outside what the probe can read would never sound.
void check_span(JsonObject& object, const Config& config, Role role, double limit) {
    const auto channel = find_role(config.channels, role);
    if (!channel) return;
    const double high_c = from_milli(config.channels[*channel].span_high_milli);
    if (limit < high_c) return;
    object.complain("limit_c",
                    fmt::format("is {} °C, but the span of \"{}\" ends at {} °C: it could never sound", limit,
                                config.channels[*channel].name, high_c));
}

void read_exhaust_high(JsonObject& alarms, Config& config) {
    auto object = alarms.object("exhaust_high", kExhaustHighKeys);
    if (!object) return;
    RuleSettings& rule = config.alarms[AlarmRule::exhaust_high];
    rule.on = true;  // a site that writes the rule down means it
    object->read("on", rule.on);
    read_temperature_rule(*object, rule, {100, 700, "°C"});
    if (!rule.on) return;
    if (!object->has("limit_c"))
        object->complain("limit_c", "is missing; there is no usual limit for an exhaust");
    if (!find_role(config.channels, Role::exhaust)) {
        object->complain_here("no channel is called \"exhaust\": there is nothing to watch");
    }
    check_span(*object, config, Role::exhaust, rule.limit);
}

void read_drift(JsonObject& alarms, Config& config) {
    auto object = alarms.object("drift", kDriftKeys);
    if (!object) return;
    RuleSettings& rule = config.alarms[AlarmRule::drift];
    object->read("on", rule.on);
    object->read("limit_corridors", rule.limit, {1, 20, "corridors"});
    object->read("deadband_corridors", rule.deadband, {0, 1, "corridors"});
    read_common(*object, rule);
}

void read_faults(JsonObject& alarms, Config& config) {
    for (const AlarmRule which :
         {AlarmRule::bean_probe_fault, AlarmRule::bus_silent, AlarmRule::record_failing}) {
        if (auto object = alarms.object(name(which), kFaultKeys)) read_common(*object, config.alarms[which]);
    }
}

/// Where the limiter sits at the bean probe, the alarm must come first or it comes for nothing.
void check_against_limiter(JsonObject& root, JsonObject* rule, const Config& config) {
    const double limit = config.alarms[AlarmRule::bean_high_high].limit;
    const LimiterConfig& limiter = config.limiter;
    const bool said = limiter.setting_c == 0;  // that it is missing or wrong
    if (!limiter.stated || limiter.place != "bean" || limit < limiter.setting_c || said) return;
    const std::string right =
        fmt::format("must be below the limiter's setting at the bean probe, {} °C", config.limiter.setting_c);
    if (rule != nullptr && rule->has("limit_c")) {
        rule->complain("limit_c", fmt::format("is {} °C and {}", limit, right));
    } else {
        root.complain("limiter",
                      fmt::format("the bean overtemperature limit, {} °C unless \"alarms\" sets another, {}",
                                  limit, right));
    }
}

void read_high_high(JsonObject& root, JsonObject* alarms, Config& config) {
    auto object = alarms != nullptr ? alarms->object("bean_high_high", kHighHighKeys) : std::nullopt;
    RuleSettings& rule = config.alarms[AlarmRule::bean_high_high];
    if (object) {
        read_temperature_rule(*object, rule, {150, 300, "°C"});
        check_span(*object, config, Role::bean, rule.limit);
    }
    check_against_limiter(root, object ? &*object : nullptr, config);
}

}  // namespace

void read_limiter(JsonObject& root, Config& config) {
    const JsonNode* node = root.find("limiter");
    if (node == nullptr) return;
    if (node->kind == JsonKind::text && node->text == "none stated") return;
    if (node->kind != JsonKind::object) {
        root.complain("limiter",
                      "must be \"none stated\", or where the machine's independent high-limit control "
                      "measures and what it is set to: {\"place\": \"bean\", \"setting_c\": 250}");
        return;
    }
    auto object = root.object("limiter", kLimiterKeys);
    config.limiter.stated = true;
    object->read("place", config.limiter.place, 80);
    object->read("setting_c", config.limiter.setting_c, {100, 900, "°C"});
}

void read_alarms(JsonObject& root, Config& config) {
    // A simulated station's times of day are its own: what the box's clock does is no matter there.
    if (config.simulated) config.alarms[AlarmRule::clock_doubtful].on = false;
    auto alarms = root.object("alarms", kAlarmsKeys);
    read_high_high(root, alarms ? &*alarms : nullptr, config);
    if (!alarms) return;
    read_exhaust_high(*alarms, config);
    read_drift(*alarms, config);
    read_faults(*alarms, config);
}

}  // namespace drumwatch

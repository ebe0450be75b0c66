// What a site can set of its alarms, and what must hold between them.
#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "config/keys.hpp"
#include "config/parts.hpp"
#include "core/alarm_advice.hpp"

namespace drumwatch {
namespace {

constexpr std::string_view kPriorities[] = {"high", "medium", "low"};
constexpr std::size_t kLongestAdvice = 600;

bool knows(const AlarmKeys& keys, std::string_view key) {
    return std::any_of(keys.keys.begin(), keys.keys.end(),
                       [&](const JsonKey& each) { return each.name == key; });
}

void read_delay(JsonObject& object, std::string_view key, std::int64_t& into_ms, double most_s) {
    double seconds = 0;
    if (!object.read(key, seconds, {0, most_s, "s"})) return;
    into_ms = static_cast<std::int64_t>(std::llround(seconds * 1000));
}

void read_readings(JsonObject& object, RuleSettings& rule) {
    std::int64_t bad = rule.bad_readings;
    std::int64_t of = rule.of_readings;
    const bool bad_right = object.read("bad_readings", bad, {1, 8});
    const bool of_right = object.read("of_readings", of, {1, 8});
    if ((bad_right || of_right) && bad > of) {
        object.complain(object.has("bad_readings") ? "bad_readings" : "of_readings",
                        fmt::format("{} bad ones of the last {} readings can't be: \"bad_readings\" is at "
                                    "most \"of_readings\"",
                                    bad, of));
    }
    rule.bad_readings = static_cast<std::uint8_t>(bad);
    rule.of_readings = static_cast<std::uint8_t>(of);
}

void read_numbers(JsonObject& object, const AlarmKeys& keys, RuleSettings& rule) {
    if (!keys.limit_key.empty()) object.read(keys.limit_key, rule.limit, keys.limit);
    if (!keys.deadband_key.empty()) object.read(keys.deadband_key, rule.deadband, keys.deadband);
    read_delay(object, keys.delay_key, rule.on_delay_ms, keys.longest_delay_s);
    read_delay(object, "off_delay_s", rule.off_delay_ms, 600);
    if (knows(keys, "bad_readings")) read_readings(object, rule);
}

/// A limit outside what the probe can read would never sound.
void check_span(JsonObject& object, const AlarmKeys& keys, const Config& config, const RuleSettings& rule) {
    const bool is_reading = keys.limit_key == "limit_c" || keys.limit_key == "limit_ppm";
    const auto channel = keys.watches ? find_role(config.channels, *keys.watches) : std::nullopt;
    if (!is_reading || !channel || !object.has(keys.limit_key)) return;
    const Channel& probe = config.channels[*channel];
    const double low = from_milli(probe.span_low_milli);
    const double high = from_milli(probe.span_high_milli);
    const std::string_view unit = keys.limit.unit;
    if (rule.limit >= high)
        object.complain(keys.limit_key,
                        fmt::format("is {} {}, but the span of \"{}\" ends at {} {}: it could never sound",
                                    rule.limit, unit, probe.name, high, unit));
    else if (rule.limit <= low)
        object.complain(keys.limit_key,
                        fmt::format("is {} {}, but the span of \"{}\" begins at {} {}: it would always sound",
                                    rule.limit, unit, probe.name, low, unit));
}

/// Rules that have no usual limit are off until a site writes theirs down.
void check_there(JsonObject& object, const AlarmKeys& keys, const Config& config) {
    const bool no_default = !AlarmSettings{}[keys.rule].on;
    if (no_default && !object.has(keys.limit_key))
        object.complain(keys.limit_key,
                        fmt::format("is missing; there is no usual limit for \"{}\"", keys.name()));
    const bool said = keys.watches == Role::bean;  // that there must be one, where channels are read
    if (!keys.watches || said || find_role(config.channels, *keys.watches)) return;
    object.complain_here(
        fmt::format("no channel is called \"{}\": there is nothing to watch", name(*keys.watches)));
}

void read_text(JsonObject& object, std::string_view key, std::optional<std::string>& into) {
    std::string text;
    if (object.read(key, text, kLongestAdvice)) into = std::move(text);
}

void read_advice(JsonObject& rule, const AlarmKeys& keys, SiteAdvice& own) {
    auto object = rule.object("advice", kAdviceKeys);
    if (!object) return;
    read_text(*object, "response", own.response);
    if (own.response && advice(keys.rule).site_card)
        object->complain("response",
                         "is the site's card for this alarm: write it as \"site_card\" of the station");
    read_text(*object, "causes", own.causes);
    read_text(*object, "consequence", own.consequence);
    read_text(*object, "owner", own.owner);
    std::int64_t seconds = 0;
    if (object->read("time_allowed_s", seconds, {1, 86'400, "s"}))
        own.time_allowed_s = static_cast<int>(seconds);
}

/// Where the limiter sits at the same probe, the alarm must come first or it comes for nothing. `rule`: its
/// section; null: it stands on its default.
void check_against_limiter(JsonObject& root, JsonObject* rule, const AlarmKeys& keys, const Config& config) {
    const LimiterConfig& limiter = config.limiter;
    const double limit = config.alarms[keys.rule].limit;
    const bool high = keys.limit_key == "limit_c" && keys.rule != AlarmRule::oxidiser_cold;
    const bool said = limiter.setting_c == 0;  // that it is missing or wrong
    if (!high || !limiter.stated || said || limiter.place != name(*keys.watches)) return;
    if (!config.alarms[keys.rule].on || limit < limiter.setting_c) return;
    const std::string right = fmt::format("must be below the limiter's setting at the {} probe, {} °C",
                                          limiter.place, limiter.setting_c);
    if (rule != nullptr && rule->has("limit_c")) {
        rule->complain("limit_c", fmt::format("is {} °C and {}", limit, right));
    } else {
        root.complain("limiter",
                      fmt::format("the bean overtemperature limit, {} °C unless \"alarms\" sets another, {}",
                                  limit, right));
    }
}

void read_rule(JsonObject& root, JsonObject& alarms, const AlarmKeys& keys, Config& config) {
    auto object = alarms.object(keys.name(), keys.keys);
    if (!object) return check_against_limiter(root, nullptr, keys, config);
    RuleSettings& rule = config.alarms[keys.rule];
    if (knows(keys, "on")) {
        rule.on = true;  // a site that writes the rule down means it
        object->read("on", rule.on);
    }
    read_numbers(*object, keys, rule);
    if (knows(keys, "priority")) {
        if (const auto priority = object->choice("priority", kPriorities))
            rule.priority = static_cast<Priority>(*priority + static_cast<std::size_t>(Priority::high));
    }
    if (knows(keys, "latches")) object->read("latches", rule.latches);
    read_advice(*object, keys, config.advice[static_cast<std::size_t>(keys.rule)]);
    if (!rule.on) return;
    check_there(*object, keys, config);
    check_span(*object, keys, config, rule);
    check_against_limiter(root, &*object, keys, config);
}

/// The graver alarm of a gas must be the later one.
void check_gas(JsonObject& alarms, const Config& config) {
    const RuleSettings& high = config.alarms[AlarmRule::carbon_monoxide_high];
    const RuleSettings& first = config.alarms[AlarmRule::carbon_monoxide];
    if (!first.on || first.limit < high.limit) return;
    const bool own = alarms.has("carbon_monoxide");
    alarms.complain(own ? "carbon_monoxide" : "carbon_monoxide_high",
                    fmt::format("the limit of \"carbon_monoxide\", {} ppm, must be below that of "
                                "\"carbon_monoxide_high\", {} ppm",
                                first.limit, high.limit));
}

}  // namespace

void read_alarms(JsonObject& root, Config& config) {
    // A simulated station's times of day are its own: what the box's clock does is no matter there.
    if (config.simulated) config.alarms[AlarmRule::clock_doubtful].on = false;
    auto alarms = root.object("alarms", kAlarmsKeys);
    if (!alarms) return check_against_limiter(root, nullptr, alarm_keys(AlarmRule::bean_high_high), config);
    for (const AlarmKeys& keys : kAlarmTable) read_rule(root, *alarms, keys, config);
    check_gas(*alarms, config);
}

}  // namespace drumwatch

#include "watch/watch_text.hpp"

#include <fmt/format.h>

#include <nlohmann/json.hpp>
#include <optional>

#include "files/target_json.hpp"
#include "watch/carried_text.hpp"
#include "watch/words_back.hpp"

namespace drumwatch {

namespace {

using Json = nlohmann::ordered_json;

std::string text(const Json& json) { return json.dump(-1, ' ', false, Json::error_handler_t::replace); }

template <typename Enum>
Enum from_name(const Json& word, Enum last) {
    return from_name(word.get<std::string>(), last);
}

Json target_object(const TargetPtr& target) {
    return target ? Json::parse(write_target(*target)) : Json(nullptr);
}
TargetPtr target_from(const Json& json) {
    if (json.is_null()) return nullptr;
    auto target = parse_target(json.dump());
    if (!target) throw std::out_of_range(target.error());
    return std::make_shared<const Target>(std::move(target.value()));
}

Json lessons_object(const Lessons& lessons) {
    return {
        {"roasts", lessons.roasts}, {"crack_c", lessons.crack_c}, {"crack_spread_c", lessons.crack_spread_c},
        {"weight", lessons.weight}, {"pace", lessons.pace},       {"pace_weight", lessons.pace_weight}};
}
/// Watches of earlier builds have no weights: each roast counted for one.
Lessons lessons_from(const Json& json) {
    Lessons lessons;
    lessons.roasts = json.at("roasts").get<int>();
    lessons.crack_c = json.at("crack_c").get<double>();
    lessons.crack_spread_c = json.at("crack_spread_c").get<double>();
    lessons.weight = json.value("weight", static_cast<double>(lessons.roasts));
    lessons.pace = json.value("pace", 0.0);
    lessons.pace_weight = json.value("pace_weight", 0.0);
    return lessons;
}

Json channel_object(const Channel& channel) {
    Json json = {{"name", channel.name},
            {"role", name(channel.role)},
            {"unit", suffix(channel.unit)},
            {"span_milli", {channel.span_low_milli, channel.span_high_milli}},
            {"max_age_ms", channel.max_age_ms},
            {"probe_lag_ms", channel.probe_lag_ms}};
    if (channel.twin) {
        json["twin"] = *channel.twin;
        json["twin_limit_milli"] = channel.twin_limit_milli;
    }
    return json;
}
Channel channel_from(const Json& json) {
    Channel channel;
    channel.name = json.at("name").get<std::string>();
    channel.role = from_name(json.at("role"), Role::other);
    channel.unit = from_word(json.at("unit").get<std::string>(), Unit::none, suffix);
    channel.span_low_milli = json.at("span_milli").at(0).get<Milli>();
    channel.span_high_milli = json.at("span_milli").at(1).get<Milli>();
    channel.max_age_ms = json.at("max_age_ms").get<std::int64_t>();
    channel.probe_lag_ms = json.value("probe_lag_ms", std::int64_t{0});
    if (json.contains("twin")) channel.twin = json.at("twin").get<std::uint8_t>();
    channel.twin_limit_milli = json.value("twin_limit_milli", channel.twin_limit_milli);
    return channel;
}

Json rule_object(const RuleSettings& rule) {
    return {{"on", rule.on},
            {"limit", rule.limit},
            {"deadband", rule.deadband},
            {"on_delay_ms", rule.on_delay_ms},
            {"off_delay_ms", rule.off_delay_ms},
            {"priority", name(rule.priority)},
            {"latches", rule.latches},
            {"bad_readings", rule.bad_readings},
            {"of_readings", rule.of_readings}};
}
RuleSettings rule_from(const Json& json) {
    RuleSettings rule;
    rule.on = json.at("on").get<bool>();
    rule.limit = json.at("limit").get<double>();
    rule.deadband = json.at("deadband").get<double>();
    rule.on_delay_ms = json.at("on_delay_ms").get<std::int64_t>();
    rule.off_delay_ms = json.at("off_delay_ms").get<std::int64_t>();
    rule.priority = priority_from_name(json.at("priority").get<std::string>());
    rule.latches = json.at("latches").get<bool>();
    rule.bad_readings = json.value("bad_readings", std::uint8_t{0});
    rule.of_readings = json.value("of_readings", std::uint8_t{0});
    return rule;
}

Json settings_object(const EngineSettings& settings) {
    Json channels = Json::array();
    for (const Channel& channel : settings.channels) channels.push_back(channel_object(channel));
    Json rules = Json::object();
    for (std::size_t i = 0; i < kAlarmRules; ++i)
        rules[std::string(name(static_cast<AlarmRule>(i)))] = rule_object(settings.alarms.rules[i]);
    return {{"tick_ms", settings.tick_ms},
            {"channels", channels},
            {"alarms", rules},
            {"bean_buses", settings.bean_buses},
            {"judge_trial", settings.judge_trial}};
}
EngineSettings settings_from(const Json& json) {
    EngineSettings settings;
    settings.tick_ms = json.at("tick_ms").get<std::int64_t>();
    for (const Json& channel : json.at("channels")) settings.channels.push_back(channel_from(channel));
    std::size_t unknown_then = 0;
    for (std::size_t i = 0; i < kAlarmRules; ++i) {
        const std::string rule(name(static_cast<AlarmRule>(i)));
        if (json.at("alarms").contains(rule)) {
            settings.alarms.rules[i] = rule_from(json.at("alarms").at(rule));
        } else {
            settings.alarms.rules[i].on = false;  // the build that recorded it did not know it
            ++unknown_then;
        }
    }
    if (json.at("alarms").size() + unknown_then != kAlarmRules)
        throw std::out_of_range("an alarm is not known here");
    settings.bean_buses = json.at("bean_buses").get<std::uint16_t>();
    settings.judge_trial = json.at("judge_trial").get<bool>();
    return settings;
}

Begin begin_from(const Json& json) {
    Begin begin;
    begin.watch = json.at("watch").get<std::uint64_t>();
    begin.build = json.at("build").get<std::string>();
    begin.config_hash = json.at("config_hash").get<std::string>();
    begin.wall.unix_ms = json.at("wall_ms").get<std::int64_t>();
    begin.boot = json.value("boot", "");
    begin.boot_ms = json.value("boot_ms", std::int64_t{0});
    begin.settings = settings_from(json.at("settings"));
    begin.target = target_from(json.at("target"));
    begin.next_roast = json.at("next_roast").get<std::uint64_t>();
    begin.lessons = lessons_from(json.at("lessons"));
    if (!json.at("idle_ms").is_null()) begin.idle_ms = json.at("idle_ms").get<std::int64_t>();
    if (json.contains("carried")) begin.carried = carried_from_text(json.at("carried").dump());
    return begin;
}

Command command_from(const Json& json) {
    Command command;
    command.kind = from_name(json.at("kind"), CommandKind::return_to_service);
    command.tick.ms = json.at("tick_ms").get<std::int64_t>();
    command.text = json.value("text", "");
    switch (command.kind) {
        case CommandKind::mark:
        case CommandKind::withdraw_mark:
            command.milestone = from_name(json.at("mark"), Milestone::drop);
            command.at.ms = json.at("at_ms").get<std::int64_t>();
            break;
        case CommandKind::choose_target:
            command.target = target_from(json.at("target"));
            command.lessons = lessons_from(json.at("lessons"));
            break;
        case CommandKind::acknowledge:
        case CommandKind::reset:
            command.occurrence = json.at("occurrence").get<std::uint64_t>();
            break;
        case CommandKind::made_move:
            command.control = from_name(json.at("control"), Control::airflow);
            command.level_milli = json.at("level_milli").get<Milli>();
            command.at.ms = json.at("at_ms").get<std::int64_t>();
            break;
        case CommandKind::retime_move:
            command.control = from_name(json.at("control"), Control::airflow);
            command.was.ms = json.at("was_ms").get<std::int64_t>();
            command.at.ms = json.at("at_ms").get<std::int64_t>();
            break;
        case CommandKind::shelve:
            command.shelve_ms = json.at("shelve_ms").get<std::int64_t>();
            [[fallthrough]];
        case CommandKind::unshelve:
        case CommandKind::out_of_service:
        case CommandKind::return_to_service:
            command.rule = from_name(json.at("rule"), AlarmRule::sounder_failed);
            break;
        case CommandKind::silence:
        case CommandKind::not_a_charge:
        case CommandKind::abort_roast:
            break;
    }
    return command;
}

/// `what` for the sentence.
template <typename Value, typename Read>
Result<Value> parsed(const char* what, const std::string& text, Read read) {
    try {
        return read(Json::parse(text));
    } catch (const std::exception& error) {
        return Error{
            fmt::format("{} can't be read ({}): it may be of an older or newer build", what, error.what())};
    }
}

}  // namespace

std::string begin_text(const Begin& begin) {
    return text({{"watch", begin.watch},
                 {"build", begin.build},
                 {"config_hash", begin.config_hash},
                 {"wall_ms", begin.wall.unix_ms},
                 {"boot", begin.boot},
                 {"boot_ms", begin.boot_ms},
                 {"settings", settings_object(begin.settings)},
                 {"target", target_object(begin.target)},
                 {"next_roast", begin.next_roast},
                 {"lessons", lessons_object(begin.lessons)},
                 {"idle_ms", begin.idle_ms ? Json(*begin.idle_ms) : Json(nullptr)},
                 {"carried", Json::parse(carried_text(begin.carried))}});
}

Result<Begin> parse_begin(const std::string& text) {
    return parsed<Begin>("the beginning of the watch", text, begin_from);
}

std::string command_text(const Command& command, Refusal refusal) {
    Json json = {{"kind", name(command.kind)}, {"tick_ms", command.tick.ms}};
    switch (command.kind) {
        case CommandKind::mark:
        case CommandKind::withdraw_mark:
            json["mark"] = name(command.milestone);
            json["at_ms"] = command.at.ms;
            break;
        case CommandKind::choose_target:
            json["target"] = target_object(command.target);
            json["lessons"] = lessons_object(command.lessons);
            break;
        case CommandKind::acknowledge:
        case CommandKind::reset:
            json["occurrence"] = command.occurrence;
            break;
        case CommandKind::made_move:
            json["control"] = name(command.control);
            json["level_milli"] = command.level_milli;
            json["at_ms"] = command.at.ms;
            break;
        case CommandKind::retime_move:
            json["control"] = name(command.control);
            json["was_ms"] = command.was.ms;
            json["at_ms"] = command.at.ms;
            break;
        case CommandKind::shelve:
            json["shelve_ms"] = command.shelve_ms;
            [[fallthrough]];
        case CommandKind::unshelve:
        case CommandKind::out_of_service:
        case CommandKind::return_to_service:
            json["rule"] = name(command.rule);
            break;
        case CommandKind::silence:
        case CommandKind::not_a_charge:
        case CommandKind::abort_roast:
            break;
    }
    if (!command.text.empty()) json["text"] = command.text;
    if (refusal != Refusal::none) json["refused"] = words(refusal);
    return text(json);
}

Result<Command> parse_command(const std::string& text) {
    return parsed<Command>("a command", text, command_from);
}

Refusal parse_refusal(const std::string& text) {
    const auto read = parsed<Refusal>("a command's answer", text, [](const Json& json) {
        return from_word(json.value("refused", "done"), Refusal::no_reason,
                         [](Refusal refusal) { return words(refusal); });
    });
    return read ? read.value() : Refusal::none;
}

Result<Observation> parse_observation(Tick tick, const std::string& health, int index, bool bad) {
    return parsed<Observation>("an observation", Json(health).dump(), [&](const Json& word) {
        return Observation{tick, from_name(word, Health::sounder_tested), static_cast<std::uint8_t>(index),
                           bad};
    });
}

}  // namespace drumwatch

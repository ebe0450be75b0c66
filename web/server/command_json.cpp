#include "web/command_json.hpp"

#include <fmt/format.h>

#include <charconv>
#include <cmath>
#include <optional>
#include <span>
#include <vector>

#include "web/body_fields.hpp"
#include "web/flat_object.hpp"
#include "web/probe_body.hpp"

namespace drumwatch {
namespace {

constexpr double kLongestAgo_s = 3600;
constexpr double kLongestRoast_s = 7200;
constexpr double kEarliestMark_s = -600;  ///< a charge that was found late may be moved before itself
constexpr double kHighestLevel = 10'000;
constexpr double kLeast_kg = 0.001;
constexpr double kMost_kg = 10'000;
constexpr double kHighestColour = 10'000;  ///< scales differ; each site has its own meter
constexpr double kLastSequence =
    9'007'199'254'740'991;  ///< what a JSON number holds exactly (RFC 8259, section 6)

std::vector<std::string_view> known_keys(Endpoint endpoint) {
    std::vector<std::string_view> keys = {"client_id", "who"};
    const auto add = [&](std::initializer_list<std::string_view> more) {
        keys.insert(keys.end(), more);
        return keys;
    };
    switch (endpoint) {
        case Endpoint::mark:
            return add({"mark", "at_s", "ago_s", "seen"});
        case Endpoint::withdraw_mark:
            return add({"mark", "seen"});
        case Endpoint::move:
            return add({"control", "to", "ago_s"});
        case Endpoint::retime_move:
            return add({"control", "made_at_s", "at_s"});
        case Endpoint::choose_target:
        case Endpoint::reminder_done:
        case Endpoint::confirm_target:
            return add({"name"});
        case Endpoint::probe_check:
            return add({"channel", "method", "is_c", "pressure_hpa", "note"});
        case Endpoint::probe_calibrate:
            return add({"channel", "reads_1_c", "is_1_c", "reads_2_c", "is_2_c", "reads_3_c", "is_3_c",
                        "reads_4_c", "is_4_c", "reads_5_c", "is_5_c", "note"});
        case Endpoint::probe_change:
            return add({"channel", "what", "note"});
        case Endpoint::facts:
            return add({"charge_kg", "roasted_kg", "colour"});
        case Endpoint::abort_roast:
            return add({"text"});
        case Endpoint::shelve:
            return add({"rule", "minutes", "text"});
        case Endpoint::out_of_service:
            return add({"rule", "text"});
        case Endpoint::unshelve:
        case Endpoint::return_to_service:
            return add({"rule"});
        default:
            return keys;
    }
}

CommandKind kind_of(Endpoint endpoint) {
    switch (endpoint) {
        case Endpoint::withdraw_mark:
            return CommandKind::withdraw_mark;
        case Endpoint::move:
            return CommandKind::made_move;
        case Endpoint::acknowledge:
            return CommandKind::acknowledge;
        case Endpoint::reset:
            return CommandKind::reset;
        case Endpoint::silence:
            return CommandKind::silence;
        case Endpoint::shelve:
            return CommandKind::shelve;
        case Endpoint::unshelve:
            return CommandKind::unshelve;
        case Endpoint::out_of_service:
            return CommandKind::out_of_service;
        case Endpoint::return_to_service:
            return CommandKind::return_to_service;
        case Endpoint::not_a_charge:
            return CommandKind::not_a_charge;
        case Endpoint::abort_roast:
            return CommandKind::abort_roast;
        default:
            return CommandKind::mark;
    }
}

Tick on_grid(double ms, std::int64_t tick_ms) {
    return {std::llround(ms / static_cast<double>(tick_ms)) * tick_ms};
}

void read_milestone(Fields& fields, Command& command) {
    const std::string word = fields.text("mark", true, 40);
    if (word.empty()) return;
    if (const auto milestone = milestone_from_name(word)) {
        command.milestone = *milestone;
    } else {
        fields.wrong("mark", "Must be charge, turning_point, yellow, first_crack, second_crack or drop.");
    }
}

constexpr double kMinutesAtMost = 30;  // as kShelfAtMost_ms of the alarms
constexpr double kMinutesUsual = 10;

bool puts_aside(Endpoint endpoint) {
    return endpoint == Endpoint::shelve || endpoint == Endpoint::unshelve ||
           endpoint == Endpoint::out_of_service || endpoint == Endpoint::return_to_service;
}

/// Which alarm, for how long, why, and under whose name.
void read_put_aside(Endpoint endpoint, Fields& fields, Command& command) {
    const std::string word = fields.text("rule", true, 40);
    const auto rule = alarm_rule_from_name(word);
    if (rule) command.rule = *rule;
    if (!rule && !word.empty()) fields.wrong("rule", "Must be the name of an alarm rule, such as drift.");
    if (endpoint == Endpoint::shelve) {
        const double minutes = fields.number("minutes", false, 1, kMinutesAtMost).value_or(kMinutesUsual);
        command.shelve_ms = std::llround(minutes * 60'000);
    }
    if (endpoint == Endpoint::shelve || endpoint == Endpoint::out_of_service)
        command.text = fields.text("text", true, 500);
    const bool named = endpoint == Endpoint::out_of_service || endpoint == Endpoint::return_to_service;
    if (named && command.who.empty()) fields.wrong("who", "Must be the name of the person who does it.");
}

void read_control(Fields& fields, Command& command) {
    const std::string word = fields.text("control", true, 40);
    const auto control = control_from_name(word);
    if (control) command.control = *control;
    if (!control && !word.empty()) fields.wrong("control", "Must be burner or airflow.");
}

void read_move(Fields& fields, Command& command) {
    read_control(fields, command);
    const auto level = fields.number("to", true, 0, kHighestLevel);
    if (level) command.level_milli = to_milli(*level).value_or(0);
}

struct When {
    std::optional<double> at_s;
    std::optional<double> ago_s;
};

When read_when(Fields& fields) {
    const When when{fields.number("at_s", false, kEarliestMark_s, kLongestRoast_s),
                    fields.number("ago_s", false, 0, kLongestAgo_s)};
    if (fields.has("at_s") && fields.has("ago_s")) fields.wrong("at_s", "Give at_s or ago_s, not both.");
    return when;
}

Tick tick_of(const When& when, const Snapshot& now, std::int64_t tick_ms) {
    if (when.at_s) return on_grid(static_cast<double>(now.roast->charge.ms) + *when.at_s * 1000, tick_ms);
    if (when.ago_s) return on_grid(static_cast<double>(now.tick.ms) - *when.ago_s * 1000, tick_ms);
    return now.tick;
}

/// Of the roast in the drum, else of the last one, whose moves may still be set right.
std::optional<Tick> newest_charge(const Snapshot& now) {
    if (now.roast) return now.roast->charge;
    return now.last_verdict ? std::optional(now.last_verdict->charge) : std::nullopt;
}

TargetChoice read_choice(Fields& fields) {
    TargetChoice choice;
    choice.client_id = fields.text("client_id", true, 64);
    choice.who = fields.text("who", false, 64);
    if (!fields.is_null("name")) choice.name = fields.text("name", true, 200);
    return choice;
}

void read_fact(Fields& fields, const char* kind, double low, double high, FactsGiven& given) {
    if (!fields.has(kind)) return;
    if (fields.is_null(kind)) return given.facts.push_back({kind, std::nullopt});
    given.facts.push_back({kind, fields.number(kind, true, low, high)});
}

ParsedCommand read_facts(Fields& fields, std::string_view parameter) {
    FactsGiven given;
    given.client_id = fields.text("client_id", true, 64);
    given.who = fields.text("who", false, 64);
    std::from_chars(parameter.data(), parameter.data() + parameter.size(), given.roast);
    read_fact(fields, "charge_kg", kLeast_kg, kMost_kg, given);
    read_fact(fields, "roasted_kg", kLeast_kg, kMost_kg, given);
    read_fact(fields, "colour", 0, kHighestColour, given);
    if (given.facts.empty())
        fields.wrong("roasted_kg", "Give roasted_kg, colour or charge_kg, or several of them.");
    if (!fields.mistakes().empty()) return refusal(fields);
    return given;
}

ParsedCommand read_sounder_test(Fields& fields) {
    fields.text("client_id", true, 64);
    SounderTestAsked asked{fields.text("who", false, 64)};
    if (!fields.mistakes().empty()) return refusal(fields);
    return asked;
}

ParsedCommand read_reminder_done(Fields& fields) {
    ReminderDone done;
    done.client_id = fields.text("client_id", true, 64);
    done.who = fields.text("who", false, 64);
    done.name = fields.text("name", true, 80);
    if (!fields.mistakes().empty()) return refusal(fields);
    return done;
}

ParsedCommand read_retiming(Fields& fields, const Snapshot& now, std::int64_t tick_ms) {
    Command command;
    command.kind = CommandKind::retime_move;
    command.client_id = fields.text("client_id", true, 64);
    command.who = fields.text("who", false, 64);
    read_control(fields, command);
    const auto was_s = fields.number("made_at_s", true, 0, kLongestRoast_s);
    const auto at_s = fields.number("at_s", true, 0, kLongestRoast_s);
    if (!fields.mistakes().empty()) return refusal(fields);
    const auto charge = newest_charge(now);
    if (!charge) return problem(409, "There is no roast whose moves could be set right.");
    command.was = on_grid(static_cast<double>(charge->ms) + *was_s * 1000, tick_ms);
    command.at = on_grid(static_cast<double>(charge->ms) + *at_s * 1000, tick_ms);
    return command;
}

ParsedCommand read_command(Endpoint endpoint, std::string_view parameter, Fields& fields, const Snapshot& now,
                           std::int64_t tick_ms) {
    Command command;
    command.kind = kind_of(endpoint);
    command.client_id = fields.text("client_id", true, 64);
    command.who = fields.text("who", false, 64);
    if (endpoint == Endpoint::mark || endpoint == Endpoint::withdraw_mark) {
        read_milestone(fields, command);
        command.seen = static_cast<std::uint64_t>(fields.number("seen", false, 0, kLastSequence).value_or(0));
    }
    if (endpoint == Endpoint::move) read_move(fields, command);
    if (puts_aside(endpoint)) read_put_aside(endpoint, fields, command);
    if (endpoint == Endpoint::abort_roast) command.text = fields.text("text", true, 500);
    std::from_chars(parameter.data(), parameter.data() + parameter.size(), command.occurrence);
    const When when = read_when(fields);
    if (!fields.mistakes().empty()) return refusal(fields);
    if (when.at_s && !now.roast) {
        return problem(409, "There is no roast in the drum whose charge at_s could be counted from.");
    }
    command.at = tick_of(when, now, tick_ms);
    if (command.at.ms < 0) return problem(422, "That is before this watch began.");
    return command;
}

}  // namespace

ParsedCommand parse_command(Endpoint endpoint, std::string_view parameter, std::string_view body,
                            const Snapshot& now, std::int64_t tick_ms) {
    const Result<FlatObject> object = FlatObject::parse(body);
    if (!object) return problem(400, object.error());
    Fields fields(object.value(), known_keys(endpoint));
    if (endpoint == Endpoint::retime_move) return read_retiming(fields, now, tick_ms);
    if (endpoint == Endpoint::facts) return read_facts(fields, parameter);
    if (endpoint == Endpoint::reminder_done) return read_reminder_done(fields);
    if (is_of_probes(endpoint)) {
        ProbeSaid said = read_probe_said(endpoint, fields);
        if (!fields.mistakes().empty()) return refusal(fields);
        return said;
    }
    if (endpoint == Endpoint::test_sounders) return read_sounder_test(fields);
    if (endpoint != Endpoint::choose_target) return read_command(endpoint, parameter, fields, now, tick_ms);
    TargetChoice choice = read_choice(fields);
    if (!fields.mistakes().empty()) return refusal(fields);
    return choice;
}

}  // namespace drumwatch

#include "service/alarm_changes.hpp"

#include <algorithm>
#include <array>
#include <nlohmann/json.hpp>
#include <utility>

namespace drumwatch {

namespace {

template <typename Number>
Number number(const nlohmann::json& object, const char* key) {
    const auto found = object.find(key);
    return found != object.end() && found->is_number_integer() ? found->get<Number>() : Number{};
}

std::string text(const nlohmann::json& object, const char* key) {
    const auto found = object.find(key);
    return found != object.end() && found->is_string() ? found->get<std::string>() : std::string{};
}

/// Of a row's JSON; an empty object for anything else.
nlohmann::json object_of(const std::string& body) {
    nlohmann::json parsed = nlohmann::json::parse(body, nullptr, false);
    return parsed.is_object() ? parsed : nlohmann::json::object();
}

std::optional<AlarmRule> rule_of(const nlohmann::json& body) {
    const std::string word = text(body, "rule");
    for (std::size_t i = 0; i < kAlarmRules; ++i) {
        if (name(static_cast<AlarmRule>(i)) == word) return static_cast<AlarmRule>(i);
    }
    return std::nullopt;
}

Priority priority_of(const nlohmann::json& body) {
    const std::string word = text(body, "priority");
    for (const Priority priority : {Priority::high, Priority::medium, Priority::low}) {
        if (name(priority) == word) return priority;
    }
    return Priority::medium;
}

/// What a person's command does to an alarm, by the name of its kind.
std::optional<AlarmChange> change_of_command(std::string_view kind) {
    static constexpr std::array<std::pair<std::string_view, AlarmChange>, 7> kTable{{
        {"acknowledge", AlarmChange::acknowledged},
        {"reset", AlarmChange::reset},
        {"silence", AlarmChange::silenced},
        {"shelve", AlarmChange::shelved},
        {"unshelve", AlarmChange::unshelved},
        {"out_of_service", AlarmChange::out_of_service},
        {"return_to_service", AlarmChange::returned},
    }};
    for (const auto& [word, change] : kTable) {
        if (word == kind) return change;
    }
    return std::nullopt;
}

/// Whether its event says what was measured.
bool says_value(const AlarmTransition& what) {
    const bool judged = what.change == AlarmChange::raised || what.change == AlarmChange::cleared ||
                        what.change == AlarmChange::again;
    return judged && !alarm_unit(what.rule).empty();
}

std::int64_t time_ms(const WatchSpan& watch, std::int64_t tick_ms) {
    return watch.began.unix_ms + (tick_ms - watch.first.ms);
}

}  // namespace

/// An acknowledgement and a reset name the occurrence only. False: that is from long before.
bool AlarmChanges::complete(AlarmTransition& what) {
    if (what.change == AlarmChange::raised) {
        by_occurrence_[what.occurrence] = {what.rule, what.priority};
        return true;
    }
    const auto known = by_occurrence_.find(what.occurrence);
    if (known != by_occurrence_.end()) {
        what.rule = known->second.rule;
        // An alarm may have grown graver until it clears.
        if (what.change != AlarmChange::cleared) what.priority = known->second.priority;
        return true;
    }
    return what.change != AlarmChange::acknowledged && what.change != AlarmChange::reset;
}

Result<Done> AlarmChanges::add_events(const WatchSpan& watch) {
    const auto rows = reader_.alarm_events(watch.id);
    if (!rows) return Error{rows.error()};
    for (const EventRow& row : rows.value()) {
        const auto change = alarm_change(row.kind);
        const nlohmann::json body = object_of(row.body);
        const auto rule = rule_of(body);
        if (!change || !rule) continue;  // of a newer build
        LoggedAlarm logged;
        logged.watch = watch.id;
        logged.what = {time_ms(watch, row.tick_ms),
                       *rule,
                       number<std::uint64_t>(body, "occurrence"),
                       priority_of(body),
                       *change,
                       row.roast,
                       {}};
        if (!complete(logged.what)) continue;
        if (says_value(logged.what)) {
            logged.value = from_milli(number<Milli>(body, "value_milli"));
            logged.limit = from_milli(number<Milli>(body, "limit_milli"));
        }
        list_.push_back(std::move(logged));
    }
    return Done{};
}

/// Who did what, and why, stands with the commands: of the same tick, kind and occurrence.
Result<Done> AlarmChanges::add_people(const WatchSpan& watch, std::size_t first) {
    const auto rows = reader_.commands(watch.id);
    if (!rows) return Error{rows.error()};
    for (const CommandRow& row : rows.value()) {
        const auto change = change_of_command(row.kind);
        if (!change) continue;
        const nlohmann::json body = object_of(row.body);
        const auto occurrence = number<std::uint64_t>(body, "occurrence");
        for (std::size_t i = first; i < list_.size(); ++i) {
            AlarmTransition& what = list_[i].what;
            const bool fits = what.change == *change && what.time_ms == time_ms(watch, row.tick_ms) &&
                              (what.occurrence == occurrence || occurrence == 0);
            if (!fits) continue;
            what.who = row.who;
            list_[i].reason = text(body, "text");
        }
    }
    return Done{};
}

Result<Done> AlarmChanges::add(const WatchSpan& watch) {
    if (watch.first.ms == 0 && ended_ms_) {
        LoggedAlarm forgotten;
        forgotten.watch = watch.id;
        forgotten.what.time_ms = *ended_ms_;
        forgotten.what.change = AlarmChange::forgotten;
        list_.push_back(std::move(forgotten));
    }
    ended_ms_ = time_ms(watch, watch.last.ms);
    const std::size_t first = list_.size();
    auto added = add_events(watch);
    return added ? add_people(watch, first) : added;
}

std::vector<LoggedAlarm> AlarmChanges::take(std::int64_t to_ms) {
    std::erase_if(list_, [to_ms](const LoggedAlarm& one) { return one.what.time_ms >= to_ms; });
    std::stable_sort(list_.begin(), list_.end(), [](const LoggedAlarm& a, const LoggedAlarm& b) {
        return a.what.time_ms < b.what.time_ms;
    });
    return std::move(list_);
}

}  // namespace drumwatch

#include "watch/carried_text.hpp"

#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>

#include "core/frame_text.hpp"
#include "files/target_json.hpp"
#include "watch/frame_back.hpp"
#include "watch/words_back.hpp"

namespace drumwatch {

namespace {

using Json = nlohmann::ordered_json;

/// JSON has no word for "not a number".
Json number(double value) { return std::isfinite(value) ? Json(value) : Json(nullptr); }
double number_from(const Json& json) {
    return json.is_null() ? std::numeric_limits<double>::quiet_NaN() : json.get<double>();
}

Json maybe(const std::optional<double>& value) { return value ? number(*value) : Json(nullptr); }
std::optional<double> maybe_from(const Json& json) {
    return json.is_null() ? std::nullopt : std::optional(json.get<double>());
}
Json maybe(const std::optional<Tick>& tick) { return tick ? Json(tick->ms) : Json(nullptr); }
std::optional<Tick> tick_from(const Json& json) {
    return json.is_null() ? std::nullopt : std::optional(Tick{json.get<std::int64_t>()});
}

template <typename Enum>
Enum named(const Json& json, Enum last) {
    return from_name(json.get<std::string>(), last);
}
Condition condition_from(const Json& json) {
    const int condition = json.get<int>();
    if (condition < 0 || condition > static_cast<int>(Condition::suppressed))
        throw std::out_of_range("an alarm's condition is not known here");
    return static_cast<Condition>(condition);
}

SuppressedBy suppressed_by_from(const Json& json) {
    const int code = json.value("suppressed_by", 0);
    if (code < 0 || code > static_cast<int>(SuppressedBy::higher_alarm))
        throw std::out_of_range("what suppresses an alarm is not known here");
    return static_cast<SuppressedBy>(code);
}

Json alarm_object(const AlarmMemory& alarm) {
    return {{"state", name(alarm.state)},
            {"occurrence", alarm.occurrence},
            {"silenced", alarm.silenced},
            {"holds", alarm.holds},
            {"came_back", alarm.came_back},
            {"pending_members", alarm.pending_members},
            {"bad_readings", alarm.bad_readings},
            {"attended_ms", alarm.attended.ms},
            {"until_ms", alarm.until.ms},
            {"suppressed_by", static_cast<int>(alarm.suppressed_by)},
            {"first", alarm.first},
            {"pending", alarm.pending},
            {"pending_since_ms", alarm.pending_since.ms},
            {"since_ms", alarm.since.ms},
            {"condition", static_cast<int>(alarm.judged.condition)},
            {"priority", name(alarm.judged.priority)},
            {"value_milli", alarm.judged.value_milli},
            {"limit_milli", alarm.judged.limit_milli},
            {"members", alarm.judged.members}};
}
AlarmMemory alarm_from(const Json& json) {
    AlarmMemory alarm;
    alarm.state = named(json.at("state"), AlarmState::out_of_service);
    alarm.occurrence = json.at("occurrence").get<std::uint64_t>();
    alarm.silenced = json.at("silenced").get<bool>();
    const bool active = alarm.state == AlarmState::unacknowledged || alarm.state == AlarmState::acknowledged;
    alarm.holds = json.value("holds", active);  // builds before shelving did not tell it apart
    alarm.came_back = json.value("came_back", false);
    alarm.pending_members = json.value("pending_members", std::uint16_t{0});
    alarm.bad_readings = json.value("bad_readings", std::uint8_t{0});
    alarm.attended.ms = json.value("attended_ms", json.at("since_ms").get<std::int64_t>());
    alarm.until.ms = json.value("until_ms", std::int64_t{0});
    alarm.suppressed_by = suppressed_by_from(json);
    alarm.first = json.value("first", std::int8_t{-1});
    alarm.pending = json.at("pending").get<bool>();
    alarm.pending_since.ms = json.at("pending_since_ms").get<std::int64_t>();
    alarm.since.ms = json.at("since_ms").get<std::int64_t>();
    alarm.judged.condition = condition_from(json.at("condition"));
    alarm.judged.priority = priority_from_name(json.at("priority").get<std::string>());
    alarm.judged.value_milli = json.at("value_milli").get<Milli>();
    alarm.judged.limit_milli = json.at("limit_milli").get<Milli>();
    alarm.judged.members = json.at("members").get<std::uint16_t>();
    return alarm;
}

/// Of what is put aside now; the others' have done their time.
Json notes_object(const AlarmBookMemory& book) {
    Json notes = Json::object();
    for (std::size_t i = 0; i < kAlarmRules; ++i) {
        const AlarmState state = book.alarms[i].state;
        const bool counts = state == AlarmState::shelved || state == AlarmState::out_of_service;
        if (!book.notes || !counts) continue;
        const PutAsideNote& note = (*book.notes)[i];
        notes[std::string(name(static_cast<AlarmRule>(i)))] = {{"who", note.who}, {"reason", note.reason}};
    }
    return notes;
}
PutAsideNotesPtr notes_from(const Json& json) {
    if (json.empty()) return nullptr;
    auto notes = std::make_shared<PutAsideNotes>();
    for (std::size_t i = 0; i < kAlarmRules; ++i) {
        const auto note = json.find(std::string(name(static_cast<AlarmRule>(i))));
        if (note == json.end()) continue;
        (*notes)[i] = {note->at("who").get<std::string>(), note->at("reason").get<std::string>()};
    }
    return notes;
}

Json alarms_object(const AlarmBookMemory& book) {
    Json alarms = Json::object();
    for (std::size_t i = 0; i < kAlarmRules; ++i)
        alarms[std::string(name(static_cast<AlarmRule>(i)))] = alarm_object(book.alarms[i]);
    Json onsets = Json::array();  // the oldest first
    for (std::size_t i = book.onsets.count; i > 0; --i) onsets.push_back(book.onsets.at_ms[i - 1]);
    Json json = {{"occurrences", book.occurrences},
                 {"judged_at_ms", book.judged_at.ms},
                 {"roasting", book.roasting},
                 {"flood", book.flood},
                 {"onsets_ms", onsets},
                 {"sounding", name(book.sounding)},
                 {"sounding_since_ms", book.sounding_since.ms},
                 {"rules", alarms}};
    const Json notes = notes_object(book);
    if (!notes.empty()) json["put_aside"] = notes;
    return json;
}
AlarmBookMemory alarms_from(const Json& json) {
    AlarmBookMemory book;
    book.occurrences = json.at("occurrences").get<std::uint64_t>();
    book.sounding = named(json.at("sounding"), Pattern::low);
    book.sounding_since.ms = json.at("sounding_since_ms").get<std::int64_t>();
    book.judged_at.ms = json.value("judged_at_ms", book.judged_at.ms);
    book.roasting = json.value("roasting", false);
    book.flood = json.value("flood", false);
    book.notes = notes_from(json.value("put_aside", Json::object()));
    for (const Json& at : json.value("onsets_ms", Json::array())) book.onsets.add(at.get<std::int64_t>());
    for (std::size_t i = 0; i < kAlarmRules; ++i) {
        const std::string rule(name(static_cast<AlarmRule>(i)));
        if (json.at("rules").contains(rule)) book.alarms[i] = alarm_from(json.at("rules").at(rule));
    }
    return book;
}

Json reason_object(const Reason& reason) {
    return {{"rule", name(reason.rule)},       {"calls_for", name(reason.calls_for)},
            {"value", number(reason.value)},   {"limit", number(reason.limit)},
            {"extra", number(reason.extra)},   {"index", reason.index},
            {"control", name(reason.control)}, {"level", number(reason.level)},
            {"unit", name(reason.unit)}};
}
Reason reason_from(const Json& json) {
    Reason reason;
    reason.rule = named(json.at("rule"), VerdictRule::end_unread);
    reason.calls_for = named(json.at("calls_for"), Disposition::unjudged);
    reason.value = number_from(json.at("value"));
    reason.limit = number_from(json.at("limit"));
    reason.extra = number_from(json.at("extra"));
    reason.index = json.at("index").get<std::int16_t>();
    reason.control = named(json.at("control"), Control::airflow);
    reason.level = number_from(json.at("level"));
    if (json.contains("unit")) reason.unit = named(json.at("unit"), LevelUnit::step);  // older builds: none
    return reason;
}

Json move_object(const MoveView& move) {
    return {{"control", name(move.control)},
            {"unit", name(move.unit)},
            {"planned", move.planned},
            {"trigger", name(move.trigger.kind)},
            {"trigger_value", number(move.trigger.value)},
            {"planned_level", number(move.planned_level)},
            {"planned_at_s", maybe(move.planned_at_s)},
            {"made_at_s", maybe(move.made_at_s)},
            {"made_level", number(move.made_level)},
            {"error_s", maybe(move.error_s)},
            {"judged", words(move.judgement)},
            {"tapped", move.tapped}};
}
MoveView move_from(const Json& json) {
    MoveView move;
    move.control = named(json.at("control"), Control::airflow);
    move.unit = named(json.at("unit"), LevelUnit::step);
    move.planned = json.at("planned").get<std::int16_t>();
    move.trigger.kind = named(json.at("trigger"), TriggerKind::after_first_crack_s);
    move.trigger.value = number_from(json.at("trigger_value"));
    move.planned_level = number_from(json.at("planned_level"));
    move.planned_at_s = maybe_from(json.at("planned_at_s"));
    move.made_at_s = maybe_from(json.at("made_at_s"));
    move.made_level = number_from(json.at("made_level"));
    move.error_s = maybe_from(json.at("error_s"));
    move.judgement = from_word(json.at("judged").get<std::string>(), MoveJudgement::wrong_level,
                               [](MoveJudgement judged) { return words(judged); });
    move.tapped = json.value("tapped", false);
    return move;
}

Json milestones_object(const MilestoneSet& milestones) {
    Json object = Json::object();
    for (std::size_t i = 0; i < kMilestones; ++i) {
        if (!milestones[i]) continue;
        const auto& bean = milestones[i]->bean_milli;
        object[std::string(name(static_cast<Milestone>(i)))] = {milestones[i]->at.ms,
                                                                bean ? Json(*bean) : Json(nullptr),
                                                                name(milestones[i]->source),
                                                                static_cast<int>(milestones[i]->why.by),
                                                                milestones[i]->why.confidence_percent,
                                                                milestones[i]->why.amount_milli};
    }
    return object;
}
MilestoneSet milestones_from(const Json& json) {
    MilestoneSet milestones;
    for (std::size_t i = 0; i < kMilestones; ++i) {
        const auto found = json.find(std::string(name(static_cast<Milestone>(i))));
        if (found == json.end()) continue;
        MilestoneAt at;
        at.at.ms = found->at(0).get<std::int64_t>();
        if (!found->at(1).is_null()) at.bean_milli = found->at(1).get<Milli>();
        at.source = named(found->at(2), MarkSource::mark);
        if (found->size() > 3)
            at.why = {static_cast<FoundBy>(found->at(3).get<int>()), found->at(4).get<std::uint8_t>(),
                      found->at(5).get<Milli>()};
        milestones[i] = at;
    }
    return milestones;
}

Json deviation_object(const DeviationSummary& deviation) {
    return {{"max_c", number(deviation.max_c)},
            {"max_at_s", number(deviation.max_at_s)},
            {"outside_s", number(deviation.outside_s)},
            {"outside_total_s", number(deviation.outside_total_s)},
            {"far_outside_s", number(deviation.far_outside_s)},
            {"gap_s", number(deviation.gap_s)},
            {"end_c", maybe(deviation.end_c)},
            {"max_ahead_s", number(deviation.max_ahead_s)},
            {"max_behind_s", number(deviation.max_behind_s)}};
}
DeviationSummary deviation_from(const Json& json) {
    DeviationSummary deviation;
    deviation.max_c = number_from(json.at("max_c"));
    deviation.max_at_s = number_from(json.at("max_at_s"));
    deviation.outside_s = number_from(json.at("outside_s"));
    deviation.outside_total_s = number_from(json.at("outside_total_s"));
    deviation.far_outside_s = number_from(json.at("far_outside_s"));
    deviation.gap_s = number_from(json.at("gap_s"));
    deviation.end_c = maybe_from(json.at("end_c"));
    deviation.max_ahead_s = number_from(json.at("max_ahead_s"));
    deviation.max_behind_s = number_from(json.at("max_behind_s"));
    return deviation;
}

template <typename List, typename Object>
Json list_of(const List& list, Object object) {
    Json json = Json::array();
    for (const auto& item : list) json.push_back(object(item));
    return json;
}

Json verdict_object(const VerdictView& view) {
    return {{"roast", view.verdict.roast},
            {"disposition", name(view.verdict.disposition)},
            {"reasons", list_of(view.verdict.reasons, reason_object)},
            {"charge_ms", view.charge.ms},
            {"dropped_ms", view.dropped.ms},
            {"roast_s", number(view.roast_s)},
            {"milestones", milestones_object(view.milestones)},
            {"deviation", deviation_object(view.deviation)},
            {"moves", list_of(view.moves, move_object)},
            {"target", view.target ? Json::parse(write_target(*view.target)) : Json(nullptr)}};
}
VerdictView verdict_from(const Json& json) {
    VerdictView view;
    view.verdict.roast = json.at("roast").get<std::uint64_t>();
    view.verdict.disposition = named(json.at("disposition"), Disposition::unjudged);
    for (const Json& reason : json.at("reasons")) view.verdict.reasons.push_back(reason_from(reason));
    view.charge.ms = json.at("charge_ms").get<std::int64_t>();
    view.dropped.ms = json.at("dropped_ms").get<std::int64_t>();
    view.roast_s = number_from(json.at("roast_s"));
    view.milestones = milestones_from(json.at("milestones"));
    view.deviation = deviation_from(json.at("deviation"));
    for (const Json& move : json.at("moves")) view.moves.push_back(move_from(move));
    if (!json.at("target").is_null()) {
        auto target = parse_target(json.at("target").dump());
        if (!target) throw std::out_of_range(target.error());
        view.target = std::make_shared<const Target>(std::move(target.value()));
    }
    return view;
}

Json cooling_object(const CoolingView& cooling) {
    return {{"id", cooling.id}, {"since_ms", cooling.since.ms}, {"tray_c", maybe(cooling.tray_c)}};
}
CoolingView cooling_from(const Json& json) {
    return {json.at("id").get<std::uint64_t>(), Tick{json.at("since_ms").get<std::int64_t>()},
            maybe_from(json.at("tray_c"))};
}

}  // namespace

std::string carried_text(const Carried& carried) {
    const Json json = {
        {"first_ms", carried.first.ms},
        {"alarms", alarms_object(carried.alarms)},
        {"cooling", carried.cooling ? cooling_object(*carried.cooling) : Json(nullptr)},
        {"last_verdict", carried.last_verdict ? verdict_object(*carried.last_verdict) : Json(nullptr)},
        {"last_drop_ms", maybe(carried.last_drop)},
        {"silent_buses", carried.silent_buses},
        {"health_bad", carried.health_bad},
        {"failed_sounders", carried.failed_sounders},
        {"warm_up",
         list_of(carried.warm_up, [](const Frame& frame) { return Json::parse(frame_text(frame)); })}};
    return json.dump(-1, ' ', false, Json::error_handler_t::replace);
}

Carried carried_from_text(const std::string& text) {
    const Json json = Json::parse(text);
    Carried carried;
    carried.first.ms = json.at("first_ms").get<std::int64_t>();
    carried.alarms = alarms_from(json.at("alarms"));
    if (!json.at("cooling").is_null()) carried.cooling = cooling_from(json.at("cooling"));
    if (!json.at("last_verdict").is_null()) carried.last_verdict = verdict_from(json.at("last_verdict"));
    carried.last_drop = tick_from(json.at("last_drop_ms"));
    carried.silent_buses = json.at("silent_buses").get<std::uint32_t>();
    carried.health_bad = json.at("health_bad").get<std::uint32_t>();
    carried.failed_sounders =
        json.value("failed_sounders", 0u);  // not in watches of before there were several
    for (const Json& frame : json.at("warm_up")) {
        auto read = parse_frame(frame.dump());
        if (!read) throw std::out_of_range(read.error());
        carried.warm_up.push_back(read.value());
    }
    return carried;
}

}  // namespace drumwatch

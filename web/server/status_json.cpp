#include "web/status_json.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "core/alarm_advice.hpp"
#include "core/words.hpp"
#include "web/history.hpp"
#include "web/json_number.hpp"
#include "web/status_parts.hpp"

namespace drumwatch {
namespace {

using Json = nlohmann::ordered_json;

template <typename T>
std::string word(T value) {
    return std::string(name(value));
}

Json channels_json(const Snapshot& snapshot, const ChannelTable& channels) {
    Json all = Json::object();
    const std::size_t count = std::min<std::size_t>(snapshot.channels, channels.size());
    for (std::size_t i = 0; i < count; ++i) {
        const ChannelView& view = snapshot.channel[i];
        Json one = {{"value", nullptr},
                    {"unit", std::string(symbol(channels[i].unit))},
                    {"quality", word(view.quality)},
                    {"age_s", nullptr}};
        if (is_good(view.quality)) one["value"] = from_milli(view.value_milli);
        if (view.age_ms >= 0) one["age_s"] = static_cast<double>(view.age_ms) / 1000.0;
        if (view.doubt != ProbeDoubt::none) one["doubt"] = word(view.doubt);
        if (channels[i].unit == Unit::celsius) one["rise_per_min"] = number_or_null(view.rise_per_min);
        all[channels[i].name] = std::move(one);
    }
    return all;
}

Json roast_json(const Snapshot& snapshot) {
    if (!snapshot.roast) return nullptr;
    const RoastView& roast = *snapshot.roast;
    Json milestones = Json::object();
    for (std::size_t i = 0; i < kMilestones; ++i) {
        const auto& milestone = roast.milestones[i];
        if (!milestone) continue;
        Json& told = milestones[word(static_cast<Milestone>(i))];
        told = {{"at_s", seconds_between(roast.charge, milestone->at)},
                {"bean_c", milestone->bean_milli ? Json(from_milli(*milestone->bean_milli)) : Json(nullptr)},
                {"source", word(milestone->source)}};
        if (milestone->source == MarkSource::detected) told["why"] = words(milestone->why);
    }
    return {{"id", roast.id},
            {"elapsed_s", static_cast<double>(roast.elapsed_ms) / 1000.0},
            {"time_lost", roast.time_lost},
            {"charge_s_ago", seconds_between(roast.charge, snapshot.tick)},
            {"smoothed_c", number_or_null(roast.smoothed_c)},
            {"milestones", std::move(milestones)}};
}

Json cooling_json(const Snapshot& snapshot) {
    if (!snapshot.cooling) return nullptr;
    return {{"id", snapshot.cooling->id},
            {"since_s", seconds_between(snapshot.cooling->since, snapshot.tick)},
            {"tray_c", number_or_null(snapshot.cooling->tray_c)}};
}

Json verdict_json(const Snapshot& snapshot, const BoxState& box) {
    if (!snapshot.last_verdict) return nullptr;
    const VerdictView& view = *snapshot.last_verdict;
    const Verdict& verdict = box.late_verdict ? *box.late_verdict : view.verdict;
    Json reasons = Json::array();
    for (const Reason& reason : verdict.reasons) {
        reasons.push_back({{"rule", word(reason.rule)},
                           {"text", words(reason)},
                           {"value", number_or_null(reason.value)},
                           {"limit", number_or_null(reason.limit)},
                           {"calls_for", word(reason.calls_for)}});
    }
    return {{"roast", view.verdict.roast},
            {"disposition", word(verdict.disposition)},
            {"at_drop", word(view.verdict.disposition)},
            {"reasons", std::move(reasons)},
            {"roast_s", number_or_null(view.roast_s)},
            {"since_s", seconds_between(view.dropped, snapshot.tick)}};
}

Json alarm_number(const AlarmView& alarm, Milli value_milli) {
    return unit_of(alarm.rule) != AlarmUnit::none ? Json(from_milli(value_milli)) : Json(nullptr);
}

Json alarm_json(const AlarmView& alarm, const Snapshot& snapshot, const StationFacts& facts) {
    const ShownAdvice shown = shown_advice(alarm.rule, facts.advice, facts.site_card);
    return {{"id", alarm.occurrence},
            {"rule", word(alarm.rule)},
            {"priority", word(alarm.priority)},
            {"state", word(alarm.state)},
            {"text", words(alarm, facts.channels)},
            {"response", shown.response},
            {"causes", shown.causes},
            {"consequence", shown.consequence},
            {"time_allowed_s", shown.time_allowed_s},
            {"owner", shown.owner},
            {"since_s", seconds_between(alarm.since, snapshot.tick)},
            {"silenced", alarm.silenced},
            {"value", alarm_number(alarm, alarm.value_milli)},
            {"limit", alarm_number(alarm, alarm.limit_milli)},
            {"unit", words(unit_of(alarm.rule))},
            {"can_shelve", alarm.can_shelve},
            {"can_take_out", alarm.can_take_out}};
}

/// Highest priority first.
Json alarms_json(const Snapshot& snapshot, const StationFacts& facts) {
    std::vector<const AlarmView*> present;
    for (const AlarmView& alarm : snapshot.alarms) {
        if (is_present(alarm.state)) present.push_back(&alarm);
    }
    std::stable_sort(present.begin(), present.end(),
                     [](const AlarmView* a, const AlarmView* b) { return a->priority < b->priority; });
    Json all = Json::array();
    for (const AlarmView* alarm : present) all.push_back(alarm_json(*alarm, snapshot, facts));
    return all;
}

/// Shelved, suppressed by design, out of service.
Json put_aside_json(const Snapshot& snapshot) {
    Json all = Json::array();
    for (const AlarmView& alarm : snapshot.alarms) {
        if (!is_put_aside(alarm.state)) continue;
        const bool shelved = alarm.state == AlarmState::shelved;
        const bool by_person = alarm.state != AlarmState::suppressed;
        const bool noted = by_person && snapshot.put_aside_notes;
        const PutAsideNote note =
            noted ? (*snapshot.put_aside_notes)[static_cast<std::size_t>(alarm.rule)] : PutAsideNote{};
        all.push_back(
            {{"rule", word(alarm.rule)},
             {"title", advice(alarm.rule).title},
             {"state", word(alarm.state)},
             {"why", by_person ? "" : words(alarm.suppressed_by)},
             {"who", note.who},
             {"reason", note.reason},
             {"since_s", seconds_between(alarm.since, snapshot.tick)},
             {"back_in_s",
              shelved ? Json(std::max(0.0, seconds_between(snapshot.tick, alarm.until))) : Json(nullptr)}});
    }
    return all;
}

Json sounders_json(const BoxState& box) {
    Json all = Json::array();
    for (const SounderState& sounder : box.sounders) {
        all.push_back(
            {{"name", sounder.name},
             {"kind", sounder.kind},
             {"working", sounder.working},
             {"why", sounder.why},
             {"tested_at", sounder.tested_at ? Json(utc_text(*sounder.tested_at)) : Json(nullptr)}});
    }
    return all;
}

Json reminders_json(const BoxState& box) {
    Json all = Json::array();
    for (const ReminderState& reminder : box.reminders) {
        all.push_back({{"name", reminder.name},
                       {"due", reminder.due},
                       {"counted", number_or_null(reminder.counted)},
                       {"every", reminder.every},
                       {"unit", reminder.unit},
                       {"without_weight", reminder.without_weight},
                       {"done_at", reminder.done_at ? Json(utc_text(*reminder.done_at)) : Json(nullptr)},
                       {"done_by", reminder.done_by}});
    }
    return all;
}

Json prompts_json(const Snapshot& snapshot) {
    Json all = Json::array();
    for (const PromptView& prompt : snapshot.prompts) {
        all.push_back({{"kind", word(prompt.kind)},
                       {"text", words(prompt, snapshot)},
                       {"in_s", number_or_null(prompt.in_s)}});
    }
    return all;
}

}  // namespace

std::string status_json(const Snapshot& snapshot, const BoxState& box, const StationFacts& facts) {
    Json status;
    status["id"] = stream_id_text({snapshot.watch, snapshot.sequence});
    status["watch"] = snapshot.watch;
    status["sequence"] = snapshot.sequence;
    status["tick_ms"] = facts.tick_ms;
    status["station"] = facts.station;
    status["machine"] = facts.machine;
    status["build"] = facts.build;
    status["utc"] = utc_text(box.utc);
    status["simulated"] = facts.simulated ? Json{{"speed", facts.speed}} : Json(nullptr);
    status["limiter"] = facts.limiter;
    status["channels"] = channels_json(snapshot, facts.channels);
    status["roast"] = roast_json(snapshot);
    status["cooling"] = cooling_json(snapshot);
    status["ready"] = {{"to_charge", snapshot.ready.to_charge},
                       {"missing", words(snapshot.ready)},
                       {"charge_c", number_or_null(snapshot.ready.charge_c)}};
    add_following(status, snapshot);
    status["last_verdict"] = verdict_json(snapshot, box);
    status["alarms"] = alarms_json(snapshot, facts);
    status["alarm_flood"] = snapshot.alarm_flood;
    status["alarms_put_aside"] = put_aside_json(snapshot);
    status["prompts"] = prompts_json(snapshot);
    status["prompts_withheld"] = snapshot.prompts_withheld;
    status["sounder"] = {{"on", snapshot.sounder.on},
                         {"pattern", word(snapshot.sounder.pattern)},
                         {"silenced", snapshot.sounder.silenced}};
    status["sounders"] = sounders_json(box);
    status["reminders"] = reminders_json(box);
    status["record"] = {{"writing", box.record_writing}, {"text", box.record_text}};
    status["links"] = box.links;
    status["site_card"] = facts.site_card;
    return status.dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace drumwatch

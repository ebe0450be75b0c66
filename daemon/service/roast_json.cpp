#include "service/roast_json.hpp"

#include <cmath>
#include <nlohmann/json.hpp>

#include "core/words.hpp"
#include "roast/verdict/late_facts.hpp"

namespace drumwatch {

namespace {

using Json = nlohmann::ordered_json;

Json number(double value) { return std::round(value * 1000) / 1000; }
Json number(const std::optional<double>& value) { return value ? number(*value) : Json(nullptr); }

template <typename T>
std::string word(T value) {
    return std::string(name(value));
}

std::string text(const Json& json) { return json.dump(-1, ' ', false, Json::error_handler_t::replace); }

Json milestones_json(const RoastRecord& roast) {
    Json json = Json::object();
    for (std::size_t i = 0; i < kMilestones; ++i) {
        const auto& milestone = roast.milestones[i];
        if (!milestone) continue;
        json[word(static_cast<Milestone>(i))] = {
            {"at_s", number(seconds_between(roast.charge, milestone->at))},
            {"bean_c", milestone->bean_milli ? number(from_milli(*milestone->bean_milli)) : Json(nullptr)},
            {"source", word(milestone->source)}};
    }
    return json;
}

/// Text that was JSON when it was stored; null when it is not (any more).
Json stored(const std::string& json) {
    Json parsed = Json::parse(json, nullptr, false);
    return parsed.is_discarded() ? Json(nullptr) : parsed;
}

Json facts_json(const JudgedRoast& judged) {
    const auto loss_pct = weight_loss_pct(judged.facts, judged.target ? *judged.target : Target{});
    return {{"charge_kg", number(judged.facts.charge_kg)},
            {"roasted_kg", number(judged.facts.roasted_kg)},
            {"weight_loss_pct", number(loss_pct)},
            {"colour", number(judged.facts.colour)}};
}

/// The reasons as they were stored with the roast, unless something has joined or left them since.
Json verdict_json(const JudgedRoast& judged) {
    if (!judged.verdict) return nullptr;
    const bool as_given = !judged.facts.roasted_kg && !judged.facts.colour;
    return {{"disposition", word(judged.verdict->disposition)},
            {"at_drop", word(judged.row.verdict->disposition)},
            {"reasons", stored(as_given ? judged.row.reasons : reasons_json(*judged.verdict))}};
}

Json roast_object(const JudgedRoast& judged) {
    const RoastRecord& roast = judged.row;
    Json json;
    json["id"] = roast.id;
    json["state"] = word(roast.state);
    json["station"] = roast.station;
    json["coffee"] = roast.coffee;
    json["target"] = roast.target_name.empty() ? Json(nullptr) : Json(roast.target_name);
    json["target_version"] = roast.target_name.empty() ? Json(nullptr) : Json(roast.target_version);
    json["charged_utc"] = utc_text(roast.charged_at);
    json["roast_s"] = roast.drop ? number(seconds_between(roast.charge, *roast.drop)) : Json(nullptr);
    json["milestones"] = milestones_json(roast);
    json["verdict"] = verdict_json(judged);
    json["facts"] = facts_json(judged);
    json["moves"] = stored(roast.moves);
    return json;
}

}  // namespace

std::string reasons_json(const Verdict& verdict) {
    Json reasons = Json::array();
    for (const Reason& reason : verdict.reasons) {
        reasons.push_back({{"rule", word(reason.rule)},
                           {"text", words(reason)},
                           {"value", number(reason.value)},
                           {"limit", number(reason.limit)},
                           {"calls_for", word(reason.calls_for)}});
    }
    return text(reasons);
}

std::string moves_json(const FixedList<MoveView, 64>& moves) {
    Json json = Json::array();
    for (const MoveView& move : moves) {
        const bool planned = move.planned >= 0;
        json.push_back({{"control", word(move.control)},
                        {"unit", word(move.unit)},
                        {"planned_index", planned ? Json(move.planned) : Json(nullptr)},
                        {"planned_to", planned ? number(move.planned_level) : Json(nullptr)},
                        {"planned_at_s", number(move.planned_at_s)},
                        {"made_to", move.made_at_s ? number(move.made_level) : Json(nullptr)},
                        {"made_at_s", number(move.made_at_s)},
                        {"error_s", number(move.error_s)},
                        {"judged", std::string(words(move.judgement))}});
    }
    return text(json);
}

std::string roast_json(const JudgedRoast& roast) { return text(roast_object(roast)); }

std::string roasts_json(const std::vector<JudgedRoast>& roasts) {
    Json list = Json::array();
    for (const JudgedRoast& roast : roasts) list.push_back(roast_object(roast));
    return text({{"roasts", list}});
}

std::string targets_json(const std::vector<TargetRow>& targets, const std::vector<std::string>& doubts,
                         const std::string& chosen) {
    Json list = Json::array();
    for (std::size_t i = 0; i < targets.size(); ++i) {
        const TargetRow& row = targets[i];
        const Json target = stored(row.json);
        const bool has_weight = target.is_object() && target.contains("charge_kg");
        list.push_back({{"name", row.name},
                        {"version", row.version},
                        {"status", row.status},
                        {"coffee", row.coffee},
                        {"charge_kg", has_weight ? target["charge_kg"] : Json(nullptr)},
                        {"chosen", row.name == chosen}});
        if (!doubts[i].empty()) list.back()["confirm"] = doubts[i];
    }
    return text({{"targets", list}});
}

}  // namespace drumwatch

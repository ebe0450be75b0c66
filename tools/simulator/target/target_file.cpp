#include <cmath>
#include <fstream>
#include <nlohmann/json.hpp>

#include "simulator/target/target.hpp"

namespace drumwatch::simulator {
namespace {

using Json = nlohmann::ordered_json;

double hundredths(double value) { return std::round(value * 100.0) / 100.0; }

Json trigger_json(const Trigger& when) { return {{trigger_name(when.kind), when.value}}; }

Json move_json(const PlannedMove& move) {
    return {{"control", control_name(move.control)},
            {"to", move.to_pct},
            {"unit", "%"},
            {"when", trigger_json(move.when)}};
}

/// The verdict's default limits (judgement of the project, no outside source).
Json tolerance_json() {
    return {{"bean_c", 1.1},   {"hold_c", 2.2}, {"rise_s", 5},
            {"outside_s", 15}, {"from_s", 150}, {"move_s", 10}};
}

Trigger trigger_from(const Json& json, const std::string& where) {
    for (const auto kind : {Trigger::Kind::at_s, Trigger::Kind::bean_c, Trigger::Kind::after_first_crack_s}) {
        if (json.contains(trigger_name(kind))) return {kind, json.at(trigger_name(kind)).get<double>()};
    }
    throw SetupError(where + ": needs one of at_s, bean_c, after_first_crack_s");
}

void read_moves(const Json& json, const std::string& path, Target& target) {
    for (const Json& entry : json.value("moves", Json::array())) {
        const auto control = control_named(entry.at("control").get<std::string>());
        if (!control || entry.value("unit", "%") != "%") continue;  // no such handle on this machine
        target.moves.push_back(
            {*control, entry.at("to").get<double>(), trigger_from(entry.at("when"), path + ": moves")});
    }
}

Target read_target(const Json& json, const std::string& path) {
    Target target;
    target.name = json.value("name", "");
    for (const Json& point : json.at("points")) {
        target.points.emplace_back(point.at(0).get<double>(), point.at(1).get<double>());
        const auto count = target.points.size();
        if (count > 1 && target.points[count - 2].first >= target.points[count - 1].first) {
            throw SetupError(path + ": the times of the points must rise");
        }
    }
    if (target.points.size() < 2) throw SetupError(path + ": at least two points are needed");
    const Json milestones = json.value("milestones", Json::object());
    for (const auto& item : milestones.items()) {
        target.milestones[item.key()] = {item.value().at("at_s").get<double>(),
                                         item.value().value("bean_c", 0.0)};
    }
    read_moves(json, path, target);
    target.drop = json.contains("drop") ? trigger_from(json.at("drop"), path + ": drop")
                                        : Trigger{Trigger::Kind::at_s, target.end_s()};
    return target;
}

}  // namespace

std::string target_text(const Target& target, const std::string& approved_by) {
    Json json;
    json["drumwatch_target"] = 1;
    json["name"] = target.name;
    json["version"] = 1;
    json["status"] = approved_by.empty() ? "trial" : "approved";
    if (!approved_by.empty()) json["approved_by"] = approved_by;
    json["station"] = target.station;
    json["coffee"] = target.coffee;
    json["charge_kg"] = target.charge_kg;
    json["points"] = Json::array();
    for (const auto& [at_s, bean_c] : target.points) {
        json["points"].push_back({hundredths(at_s), hundredths(bean_c)});
    }
    json["milestones"] = Json::object();
    for (const char* name : {"turning_point", "yellow", "first_crack"}) {
        const auto found = target.milestones.find(name);
        if (found == target.milestones.end()) continue;
        json["milestones"][name] = {{"at_s", hundredths(found->second.at_s)},
                                    {"bean_c", hundredths(found->second.bean_c)}};
    }
    json["moves"] = Json::array();
    for (const PlannedMove& move : target.moves) json["moves"].push_back(move_json(move));
    json["drop"] = trigger_json(target.drop);
    json["tolerance"] = tolerance_json();
    return json.dump(2) + "\n";
}

Target load_target(const std::string& path) {
    std::ifstream in(path);
    if (!in) throw SetupError("target " + path + ": cannot be read");
    try {
        return read_target(Json::parse(in), path);
    } catch (const Json::exception& error) {
        throw SetupError("target " + path + ": " + error.what());
    }
}

}  // namespace drumwatch::simulator

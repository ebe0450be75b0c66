#include <nlohmann/json.hpp>

#include "probes/probe_text.hpp"

namespace drumwatch {
namespace {

using Json = nlohmann::ordered_json;

Json faults_json(const FaultCounts& faults) {
    Json object = Json::object();
    for (std::size_t i = 1; i < kLinkFaults; ++i)
        if (faults[i] != 0) object[std::string(name(static_cast<LinkFault>(i)))] = faults[i];
    return object;
}

Json raw_json(const RawValue& raw) {
    switch (raw.kind) {
        case RawValue::Kind::none:
            return nullptr;
        case RawValue::Kind::one_word:
            return {{"registers", Json::array({raw.words[0]})}};
        case RawValue::Kind::two_words:
            return {{"registers", raw.words}};
        case RawValue::Kind::text:
            return {{"text", std::string(raw.text())}};
    }
    return nullptr;
}

Json line_json(const ProbeLine& line, const ProbeView& view) {
    Json tolerances = Json::array();
    for (const ProbeTolerance& one : line.tolerances)
        tolerances.push_back(
            {{"class", std::string(one.tolerance_class)}, {"plus_minus_c", one.plus_minus_c}});
    return {{"channel", line.name},
            {"bus", view.buses[line.bus].name},
            {"raw", raw_json(line.raw)},
            {"value", has_value(line.quality) ? Json(from_milli(line.value_milli)) : Json(nullptr)},
            {"unit", std::string(symbol(line.unit))},
            {"tolerances", tolerances},
            {"quality", std::string(name(line.quality))},
            {"age_ms", line.age_ms ? Json(*line.age_ms) : Json(nullptr)},
            {"polls", line.readings},
            {"faults", faults_json(line.faults)}};
}

Json bus_json(const ProbeBus& bus) {
    return {{"bus", bus.name},
            {"where", bus.where},
            {"up", bus.counters.up},
            {"polls", bus.counters.polls},
            {"failures", bus.counters.failures},
            {"round_trip_median_us", bus.counters.median_round_trip_us},
            {"round_trip_worst_us", bus.counters.worst_round_trip_us},
            {"faults", faults_json(bus.counters.faults)},
            {"complaint", bus.counters.complaint}};
}

}  // namespace

std::string probe_json(const ProbeView& view, const std::string& station) {
    Json channels = Json::array();
    for (const ProbeLine& line : view.lines) channels.push_back(line_json(line, view));
    Json buses = Json::array();
    for (const ProbeBus& bus : view.buses) buses.push_back(bus_json(bus));
    Json complaints = Json::array();
    for (const ProbeComplaint& one : complaints_of(view))
        complaints.push_back({{"who", one.who},
                              {"fault", std::string(name(one.fault))},
                              {"text", one.text},
                              {"look_first", one.look_first}});
    const Json all = {{"station", station},
                      {"good", view.all_good()},
                      {"channels", channels},
                      {"buses", buses},
                      {"complaints", complaints}};
    return all.dump(-1, ' ', false, Json::error_handler_t::replace);
}

}  // namespace drumwatch

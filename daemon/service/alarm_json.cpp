#include "service/alarm_json.hpp"

#include <cmath>
#include <nlohmann/json.hpp>

#include "alarms/figures/benchmarks.hpp"

namespace drumwatch {

namespace {

using Json = nlohmann::ordered_json;

Json number(std::optional<double> value) {
    return value ? Json(std::round(*value * 1000) / 1000) : Json(nullptr);
}

double seconds(std::int64_t ms) { return static_cast<double>(ms) / 1000; }

Json span_json(const TimeSpan& span) {
    return {{"from_utc", utc_text({span.from_ms})}, {"to_utc", utc_text({span.to_ms})}};
}

Json priorities_json(const ByPriority& counts) {
    Json json = Json::object();
    for (std::size_t i = 0; i < kPriorities; ++i)
        json[std::string(name(static_cast<Priority>(i + 1)))] = counts[i];
    return json;
}

Json figures_json(const AlarmFigures& figures) {
    Json list = Json::array();
    for (const Benchmark& one : benchmarks(figures)) {
        list.push_back({{"name", one.name},
                        {"words", one.words},
                        {"value", number(one.value)},
                        {"unit", one.unit},
                        {"benchmark", one.benchmark},
                        {"source", one.source},
                        {"stand", name(one.stand)}});
    }
    return list;
}

Json days_json(const AlarmFigures& figures) {
    Json list = Json::array();
    for (const DayFigures& day : figures.by_day) {
        list.push_back({{"day", day.label},
                        {"watched_s", seconds(day.watched_ms)},
                        {"alarms", day.alarms},
                        {"priorities", priorities_json(day.by_priority)},
                        {"stale", day.stale}});
    }
    return list;
}

Json roasts_json(const AlarmLog& log, const AlarmFigures& figures) {
    Json list = Json::array();
    for (std::size_t i = 0; i < figures.by_roast.size(); ++i) {
        const RoastFigures& roast = figures.by_roast[i];
        Json json = {{"roast", roast.id}};
        json.update(span_json(log.period.roasts[i].span));
        json.update({{"dropped", log.period.roasts[i].dropped},
                     {"clear", roast.good},
                     {"alarms", roast.alarms},
                     {"priorities", priorities_json(roast.by_priority)}});
        list.push_back(std::move(json));
    }
    return list;
}

Json floods_json(const AlarmFigures& figures) {
    Json list = Json::array();
    for (const AlarmFlood& flood : figures.floods) {
        Json json = span_json(flood.span);
        json["alarms"] = flood.alarms;
        list.push_back(std::move(json));
    }
    return list;
}

Json rules_json(const AlarmFigures& figures) {
    Json list = Json::array();
    for (const RuleFigures& rule : figures.rules) {
        list.push_back({{"rule", name(rule.rule)},
                        {"alarms", rule.alarms},
                        {"share_pct", number(rule.share * 100)},
                        {"chattering", rule.chattering},
                        {"fleeting", rule.fleeting},
                        {"stale", rule.stale_day},
                        {"stale_roasts", rule.stale_roasts},
                        {"unacknowledged", rule.unacknowledged}});
    }
    return list;
}

Json reshelved_json(const AlarmFigures& figures) {
    Json list = Json::array();
    for (const ReshelvedRule& one : figures.reshelved)
        list.push_back({{"roast", one.roast}, {"rule", name(one.rule)}, {"again", one.again}});
    return list;
}

Json actors_json(const AlarmFigures& figures) {
    Json list = Json::array();
    for (const BadActor& actor : bad_actors(figures)) {
        list.push_back({{"rule", name(actor.rule)},
                        {"why", name(actor.why)},
                        {"times", actor.times},
                        {"words", words(actor.why)},
                        {"suggestion", suggestion(actor.rule, actor.why)}});
    }
    return list;
}

Json watched_json(const AlarmLog& log) {
    Json list = Json::array();
    for (const TimeSpan& span : log.period.watched) list.push_back(span_json(span));
    return list;
}

}  // namespace

std::string alarm_figures_json(const AlarmLog& log, const AlarmFigures& figures, int indent) {
    Json json = {{"from_utc", nullptr}, {"to_utc", nullptr}};
    if (!log.nothing) json.update(span_json(figures.span));
    json.update(
        {{"watched_s", seconds(figures.watched_ms)},
         {"watched", watched_json(log)},
         {"alarms", figures.alarms},
         {"raised", priorities_json(figures.by_priority)},
         {"rules_on", log.period.configured.empty() ? Json(nullptr) : priorities_json(figures.configured)},
         {"acknowledged", figures.acknowledged},
         {"unacknowledged", figures.unacknowledged},
         {"figures", figures_json(figures)},
         {"days", days_json(figures)},
         {"roasts", roasts_json(log, figures)},
         {"floods", floods_json(figures)},
         {"rules", rules_json(figures)},
         {"reshelved", reshelved_json(figures)},
         {"bad_actors", actors_json(figures)}});
    return json.dump(indent, ' ', false, Json::error_handler_t::replace);
}

}  // namespace drumwatch

#include <cmath>
#include <nlohmann/json.hpp>

#include "backtest/summary.hpp"
#include "files/lessons_json.hpp"

namespace drumwatch {

namespace {

using Json = nlohmann::ordered_json;

Json number(std::optional<double> value) {
    return value ? Json(std::round(*value * 1000) / 1000) : Json(nullptr);
}

Json error_json(const ErrorFigures& error) {
    return {{"roasts", error.count()},
            {"without", error.without()},
            {"mean_error_s", number(error.mean_error())},
            {"bias_s", number(error.bias())},
            {"percentile_90_s", number(error.error_quantile(0.9))}};
}

Json interval_json(const IntervalFigures& interval) {
    const ChanceRange chance = chance_range(interval.count(), kAimedShare);
    return {{"held", interval.held()},
            {"share", number(interval.share())},
            {"by_chance_from", chance.low},
            {"by_chance_to", chance.high},
            {"mean_width_s", number(interval.mean_width())}};
}

Json leads_json(const BacktestSummary& summary) {
    Json leads = Json::array();
    for (std::size_t i = 0; i < kLeads; ++i) {
        const LeadFigures& figures = summary.leads[i];
        Json lead = {{"lead_s", kLeads_s[i]},
                     {"forecast", error_json(figures.forecast)},
                     {"interval", interval_json(figures.interval)},
                     {"floor", error_json(figures.floor)}};
        for (std::size_t k = 0; k < kPlainForecasts; ++k)
            lead[std::string(name(static_cast<PlainForecast>(k)))] = error_json(figures.plain[k]);
        leads.push_back(std::move(lead));
    }
    return leads;
}

Json milestones_json(const BacktestSummary& summary) {
    Json json = Json::object();
    for (std::size_t i = 0; i < kMilestones; ++i) {
        const MilestoneFigures& figures = summary.milestones[i];
        json[std::string(name(static_cast<Milestone>(i)))] = {
            {"marked", figures.marked},
            {"missed", figures.missed},
            {"far_off", figures.far},
            {"median_s", number(figures.error.error_quantile(0.5))},
            {"percentile_95_s", number(figures.error.error_quantile(0.95))},
            {"bias_s", number(figures.error.bias())}};
    }
    return json;
}

Json by_disposition(const std::array<std::size_t, kDispositions>& counts) {
    Json json = Json::object();
    for (std::size_t i = 0; i < kDispositions; ++i)
        json[std::string(name(static_cast<Disposition>(i)))] = counts[i];
    return json;
}

Json verdicts_json(const VerdictFigures& verdicts) {
    Json table = Json::object();
    for (std::size_t i = 0; i < kDispositions; ++i)
        table[std::string(name(static_cast<Disposition>(i)))] = by_disposition(verdicts.table[i]);
    return {{"given", by_disposition(verdicts.given)},
            {"stated", verdicts.stated()},
            {"agree", verdicts.agree()},
            {"right_and_given", std::move(table)}};
}

Json target_json(const Target& target) {
    return {{"name", target.name}, {"version", target.version}, {"status", name(target.status)}};
}

std::string text_of(const Json& json, int indent) {
    return json.dump(indent, ' ', false, Json::error_handler_t::replace);
}

}  // namespace

std::string summary_json(const BacktestSummary& summary) {
    Json unreadable = Json::array();
    for (const auto& [path, why] : summary.unreadable) unreadable.push_back({{"file", path}, {"why", why}});
    Json json = {{"target", summary.target ? target_json(*summary.target) : Json(nullptr)},
                 {"ignore_marks", summary.ignore_marks},
                 {"roasts", summary.read},
                 {"unreadable", std::move(unreadable)},
                 {"without_charge", summary.without_charge},
                 {"first_crack_marked", summary.marked},
                 {"first_crack", leads_json(summary)},
                 {"steadiness",
                  {{"roasts", summary.steadiness.roasts()},
                   {"movement_s_per_s", number(summary.steadiness.movement())},
                   {"change_in_10_s", number(summary.steadiness.change_in_10_s())}}},
                 {"milestones", summary.ignore_marks ? milestones_json(summary) : Json(nullptr)},
                 {"verdicts", verdicts_json(summary.verdicts)},
                 {"lessons", Json::parse(write_lessons(summary.lessons))}};
    return text_of(json, 2);
}

std::string file_json(const std::string& path, const std::string& report) {
    const std::string_view object = std::string_view(report).substr(0, report.find_last_not_of('\n') + 1);
    return "{\"file\": " + text_of(Json(path), -1) + ", \"rerun\": " + std::string(object) + "}";
}

}  // namespace drumwatch

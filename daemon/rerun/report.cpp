#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "core/words.hpp"
#include "rerun/rerun.hpp"

namespace drumwatch {

namespace {

using Json = nlohmann::ordered_json;

double rounded(double value) { return std::round(value * 1000) / 1000; }
Json number(double value) { return rounded(value); }
Json number(const std::optional<double>& value) { return value ? number(*value) : Json(nullptr); }

Json milestones_json(const RerunResult& result) {
    Json json = Json::object();
    for (std::size_t i = 0; i < kMilestones; ++i) {
        const auto& milestone = result.milestones[i];
        if (!milestone) continue;
        json[std::string(name(static_cast<Milestone>(i)))] = {
            {"at_s",
             result.milestones[0] ? number(seconds_between(result.charge, milestone->at)) : Json(nullptr)},
            {"file_s", number(static_cast<double>(milestone->at.ms) / 1000)},
            {"bean_c", milestone->bean_milli ? number(from_milli(*milestone->bean_milli)) : Json(nullptr)},
            {"source", name(milestone->source)}};
        if (milestone->source == MarkSource::mark) continue;
        json[std::string(name(static_cast<Milestone>(i)))]["why"] = {
            {"found_by", name(milestone->why.by)},
            {"confidence", number(milestone->why.confidence_percent / 100.0)},
            {"text", words(milestone->why)}};
    }
    return json;
}

Json forecasts_json(const RerunResult& result) {
    Json json = Json::array();
    for (const ForecastAt& forecast : result.forecasts) {
        json.push_back({{"file_s", number(forecast.file_s)},
                        {"now_s", number(forecast.now_s)},
                        {"first_crack_at_s", number(forecast.at_s)},
                        {"low_s", number(forecast.low_s)},
                        {"high_s", number(forecast.high_s)}});
    }
    return json;
}

bool judged(const MoveView& move) { return move.judgement != MoveJudgement::waiting; }

Json moves_json(const RerunResult& result) {
    Json json = Json::array();
    for (const MoveView& move : result.moves) {
        if (!judged(move)) continue;  // never reached
        const bool planned = move.planned >= 0;
        json.push_back({{"control", name(move.control)},
                        {"planned_at_s", number(move.planned_at_s)},
                        {"made_at_s", number(move.made_at_s)},
                        {"error_s", number(move.error_s)},
                        {"planned", planned ? number(move.planned_level) : Json(nullptr)},
                        {"made", move.made_at_s ? number(move.made_level) : Json(nullptr)},
                        {"unit", name(move.unit)},
                        {"judged", words(move.judgement)}});
    }
    return json;
}

Json deviation_json(const DeviationSummary& kept) {
    return {{"max_c", number(kept.max_c)},
            {"max_at_s", number(kept.max_at_s)},
            {"outside_s", number(kept.outside_s)},
            {"outside_total_s", number(kept.outside_total_s)},
            {"end_c", number(kept.end_c)},
            {"max_ahead_s", number(kept.max_ahead_s)},
            {"max_behind_s", number(kept.max_behind_s)}};
}

Json alarms_json(const RerunResult& result) {
    Json json = Json::array();
    for (const AlarmSpan& alarm : result.alarms) {
        json.push_back({{"rule", name(alarm.rule)},
                        {"priority", name(alarm.priority)},
                        {"raised_at_s", number(alarm.raised_at_s)},
                        {"cleared_at_s", number(alarm.cleared_at_s)}});
    }
    return json;
}

Json verdict_json(const Verdict& verdict) {
    Json reasons = Json::array();
    for (const Reason& reason : verdict.reasons) {
        reasons.push_back({{"rule", name(reason.rule)},
                           {"text", words(reason)},
                           {"value", number(reason.value)},
                           {"limit", number(reason.limit)}});
    }
    return {{"disposition", name(verdict.disposition)}, {"reasons", reasons}};
}

constexpr const char* kStands[] = {"within", "out", "not_judged", "not_known", "not_known"};

Json late_json(const std::vector<LateFinding>& findings) {
    Json late = Json::array();
    for (const LateFinding& finding : findings) {
        late.push_back({{"rule", name(finding.rule)},
                        {"stands", kStands[static_cast<std::size_t>(finding.stand)]},
                        {"text", words(finding)}});
    }
    return late;
}

/// Rounded, and never a negative nothing.
double tenth(double value) { return std::round(value * 10) / 10 + 0.0; }

/// Nothing shows what was done with its control: that it was missed is more than anybody knows.
bool unknown(const RerunResult& result, const MoveView& move) {
    const auto says_so = [&](const Reason& reason) {
        return reason.rule == VerdictRule::moves_unknown && reason.control == move.control;
    };
    return move.judgement == MoveJudgement::missed &&
           std::any_of(result.verdict.reasons.begin(), result.verdict.reasons.end(), says_so);
}

std::string moves_text(const RerunResult& result) {
    std::string text;
    for (const MoveView& move : result.moves) {
        if (!judged(move)) continue;
        const double level = move.planned >= 0 ? move.planned_level : move.made_level;
        const auto at_s = move.made_at_s ? move.made_at_s : move.planned_at_s;
        text += fmt::format("  {:>6} {} to {}: {}", at_s ? minutes_seconds(*at_s) : "", name(move.control),
                            words_level(level, move.unit),
                            unknown(result, move) ? "unknown" : words(move.judgement));
        if (move.error_s) text += fmt::format(" ({:+.1f} s)", tenth(*move.error_s));
        text += '\n';
    }
    return text.empty() ? text : "moves (made at, else planned for)\n" + text;
}

/// Without its charge nobody knows what the target had when.
bool has_deviation(const RerunResult& result) {
    return result.dropped && result.target && result.milestones[0];
}

std::string at_words(Tick at, const std::string& what) {
    return fmt::format("{} of the file: {}", minutes_seconds(seconds_between(Tick{}, at)), what);
}

/// Marks that were not taken, or that the curve speaks against; roasts and charges that are not in the
/// report.
std::vector<std::string> remarks(const RerunResult& result) {
    std::vector<std::string> all;
    std::uint64_t roast = 0;
    for (const Event& event : result.events) {
        if (event.kind == EventKind::command_refused || event.kind == EventKind::mark_disagrees ||
            event.kind == EventKind::roast_withdrawn)
            all.push_back(at_words(event.at, words(event)));
        if (event.kind != EventKind::verdict_given || event.roast == roast) continue;
        if (roast != 0)
            all.push_back(at_words(event.at, "another roast ends: only the first one is reported"));
        roast = event.roast;
    }
    return all;
}

std::string remarks_text(const RerunResult& result) {
    std::string text;
    for (const std::string& remark : remarks(result)) text += "  " + remark + "\n";
    return text.empty() ? text : "to look at\n" + text;
}

std::string forecasts_text(const RerunResult& result) {
    if (result.forecasts.empty()) return {};
    const ForecastAt& first = result.forecasts.front();
    const ForecastAt& last = result.forecasts.back();
    return fmt::format(
        "first crack forecast\n  at {}: {} ({} to {}, 8 times in 10)\n  at {}: {} ({} to {}, 8 times in "
        "10)\n",
        minutes_seconds(first.now_s), minutes_seconds(first.at_s), minutes_seconds(first.low_s),
        minutes_seconds(first.high_s), minutes_seconds(last.now_s), minutes_seconds(last.at_s),
        minutes_seconds(last.low_s), minutes_seconds(last.high_s));
}

}  // namespace

std::string report_json(const RerunResult& result) {
    Json json;
    json["milestones"] = milestones_json(result);
    json["forecasts"] = forecasts_json(result);
    json["moves"] = moves_json(result);
    json["deviation"] = has_deviation(result) ? deviation_json(result.deviation) : Json(nullptr);
    json["alarms"] = alarms_json(result);
    json["verdict"] = verdict_json(result.verdict);
    if (const auto all = remarks(result); !all.empty()) json["remarks"] = all;
    if (!result.late.empty()) json["late"] = late_json(result.late);
    return json.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::string report_text(const RerunResult& result) {
    std::string text = fmt::format("verdict: {}\n", name(result.verdict.disposition));
    for (const Reason& reason : result.verdict.reasons) text += "  " + words(reason) + "\n";
    for (const LateFinding& finding : result.late) {
        if (finding.stand != LateStand::out) text += "  " + words(finding) + "\n";
    }
    const bool counted = result.milestones[0].has_value();
    if (result.charged)
        text += counted ? "milestones (since charge)\n"
                        : "milestones (since the first row; the charge is not in the file)\n";
    const Tick from = counted ? result.charge : Tick{};
    for (std::size_t i = 0; i < kMilestones && result.charged; ++i) {
        const auto& milestone = result.milestones[i];
        if (!milestone) continue;
        text += fmt::format(
            "  {:14} {:>6}  {:>6} °C  {}{}\n", words(static_cast<Milestone>(i)),
            minutes_seconds(seconds_between(from, milestone->at)),
            milestone->bean_milli ? fmt::format("{:.1f}", from_milli(*milestone->bean_milli)) : "--",
            name(milestone->source),
            milestone->why.by == FoundBy::nothing ? "" : " (" + words(milestone->why) + ")");
    }
    if (has_deviation(result)) {
        const DeviationSummary& kept = result.deviation;
        text += fmt::format(
            "deviation from the target\n  largest {:+.1f} °C at {}; outside the corridor {:.0f} s on end, "
            "{:.0f} s in all\n",
            kept.max_c, minutes_seconds(kept.max_at_s), kept.outside_s, kept.outside_total_s);
        if (kept.end_c) text += fmt::format("  end temperature {:+.1f} °C\n", tenth(*kept.end_c));
    }
    text += remarks_text(result) + moves_text(result) + forecasts_text(result);
    for (const AlarmSpan& alarm : result.alarms) {
        text += fmt::format("alarm {} ({}) at {:.1f} s of the file\n", name(alarm.rule), name(alarm.priority),
                            alarm.raised_at_s);
    }
    return text;
}

}  // namespace drumwatch

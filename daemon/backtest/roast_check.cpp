#include "backtest/roast_check.hpp"

#include <algorithm>

namespace drumwatch {

namespace {

constexpr double kNewest_s = 2;

double instant_of(const ForecastAt& forecast) { return forecast.file_s + (forecast.at_s - forecast.now_s); }

double file_s(Tick tick) { return static_cast<double>(tick.ms) / 1000; }

std::optional<ErrorWithInterval> newest(const RerunResult& result, double now_s, double crack_s) {
    const auto later = [](double t_s, const ForecastAt& forecast) { return t_s < forecast.file_s; };
    const auto after = std::upper_bound(result.forecasts.begin(), result.forecasts.end(), now_s, later);
    if (after == result.forecasts.begin()) return std::nullopt;
    const ForecastAt& forecast = *(after - 1);
    if (now_s - forecast.file_s > kNewest_s) return std::nullopt;
    return error_of(forecast, crack_s);
}

RoastStretch stretch_of(const FileFacts& facts, const RerunResult& result) {
    RoastStretch stretch{file_s(result.charge), facts.readings.empty() ? 0 : facts.readings.back().t_s};
    const auto& drop = result.milestones[static_cast<std::size_t>(Milestone::drop)];
    if (drop) stretch.drop_s = file_s(drop->at);
    return stretch;
}

/// When a perfect forecast of the temperature has first crack.
std::optional<double> floor_instant(const FileFacts& facts, const RerunResult& result,
                                    std::optional<double> expected_c) {
    if (!expected_c || !result.charged) return std::nullopt;
    return reached_s(facts.readings, stretch_of(facts, result), *expected_c);
}

}  // namespace

ErrorWithInterval error_of(const ForecastAt& forecast, double crack_s) {
    const double error_s = instant_of(forecast) - crack_s;
    return {error_s, error_s + forecast.low_s - forecast.at_s, error_s + forecast.high_s - forecast.at_s};
}

std::vector<ForecastInstant> instants_of(const RerunResult& result) {
    std::vector<ForecastInstant> instants;
    instants.reserve(result.forecasts.size());
    for (const ForecastAt& forecast : result.forecasts)
        instants.push_back({forecast.file_s, instant_of(forecast)});
    return instants;
}

FileFacts facts_of(const RoastFile& file, const TargetCurve* target) {
    FileFacts facts;
    facts.truth = truth_of(file);
    facts.readings = bean_readings(file);
    const auto crack_s = facts.truth.at(Milestone::first_crack);
    if (!crack_s) return facts;
    facts.crack_c = bean_near(facts.readings, *crack_s);
    for (std::size_t i = 0; i < kLeads; ++i)
        facts.plain[i] = plain_forecasts(target, facts.readings, *crack_s - kLeads_s[i]);
    return facts;
}

LeadChecks check_leads(const FileFacts& facts, const RerunResult& result, std::optional<double> expected_c) {
    LeadChecks leads;
    const auto crack_s = facts.truth.at(Milestone::first_crack);
    if (!crack_s) return leads;
    const auto floor_s = floor_instant(facts, result, expected_c);
    for (std::size_t i = 0; i < kLeads; ++i) {
        const double now_s = *crack_s - kLeads_s[i];
        leads[i].forecast = newest(result, now_s, *crack_s);
        for (std::size_t k = 0; k < kPlainForecasts; ++k)
            if (facts.plain[i][k]) leads[i].plain_error_s[k] = *facts.plain[i][k] - *crack_s;
        if (floor_s) leads[i].floor_error_s = std::max(*floor_s, now_s) - *crack_s;
    }
    return leads;
}

}  // namespace drumwatch

#include "backtest/summary.hpp"

#include <cmath>
#include <numeric>
#include <utility>

namespace drumwatch {

namespace {
constexpr double kTracked_s = 300;
}

void LeadFigures::add(const LeadCheck& check) {
    if (check.forecast) {
        forecast.add(check.forecast->error_s);
        interval.add(check.forecast->low_s, check.forecast->high_s, 0);
    } else {
        forecast.add_without();
    }
    for (std::size_t i = 0; i < kPlainForecasts; ++i) plain[i].add(check.plain_error_s[i]);
    floor.add(check.floor_error_s);
}

void MilestoneFigures::add(std::optional<double> found_s, double marked_s) {
    ++marked;
    if (!found_s) {
        ++missed;
    } else if (std::fabs(*found_s - marked_s) > kFar_s) {
        ++far;
    } else {
        error.add(*found_s - marked_s);
    }
}

std::size_t VerdictFigures::stated() const {
    std::size_t sum = 0;
    for (const auto& row : table) sum = std::accumulate(row.begin(), row.end(), sum);
    return sum;
}

std::size_t VerdictFigures::agree() const {
    std::size_t sum = 0;
    for (std::size_t i = 0; i < kDispositions; ++i) sum += table[i][i];
    return sum;
}

BacktestSummary::BacktestSummary(TargetPtr of, bool ignoring)
    : target(std::move(of)), ignore_marks(ignoring) {
    if (target) target_crack_c_ = TargetCurve(target).crack_c();
}

std::optional<double> BacktestSummary::expected_c() const {
    return cracks_ > 0 ? std::optional(cracks_c_ / static_cast<double>(cracks_)) : target_crack_c_;
}

void BacktestSummary::add_unreadable(std::string path, std::string why) {
    unreadable.push_back({std::move(path), std::move(why)});
}

void BacktestSummary::add(const FileFacts& facts, const RerunResult& result) {
    ++read;
    if (!result.charged) ++without_charge;
    lessons = result.lessons_after;
    add_verdict(facts.truth, result);
    if (ignore_marks) add_milestones(facts.truth, result);
    const auto crack_s = facts.truth.at(Milestone::first_crack);
    if (!crack_s) return;
    ++marked;
    const LeadChecks checks = check_leads(facts, result, expected_c());
    for (std::size_t i = 0; i < kLeads; ++i) leads[i].add(checks[i]);
    steadiness.add(instants_of(result), *crack_s);
    add_track(result, *crack_s);
    if (!facts.crack_c) return;
    cracks_c_ += *facts.crack_c;
    ++cracks_;
}

void BacktestSummary::add_milestones(const FileTruth& truth, const RerunResult& result) {
    for (std::size_t i = 0; i < kMilestones; ++i) {
        if (!truth.mark_s[i]) continue;
        std::optional<double> found_s;
        const auto& found = result.milestones[i];
        if (found && result.charged) found_s = static_cast<double>(found->at.ms) / 1000;
        milestones[i].add(found_s, *truth.mark_s[i]);
    }
}

void BacktestSummary::add_verdict(const FileTruth& truth, const RerunResult& result) {
    const auto given = static_cast<std::size_t>(result.verdict.disposition);
    ++verdicts.given[given];
    if (truth.verdict) ++verdicts.table[static_cast<std::size_t>(*truth.verdict)][given];
}

void BacktestSummary::add_track(const RerunResult& result, double crack_s) {
    ForecastTrack track;
    for (const ForecastAt& forecast : result.forecasts) {
        const double before_s = crack_s - forecast.file_s;
        if (before_s < 0 || before_s > kTracked_s) continue;
        track.points.push_back({before_s, error_of(forecast, crack_s)});
    }
    tracks.push_back(std::move(track));
}

}  // namespace drumwatch

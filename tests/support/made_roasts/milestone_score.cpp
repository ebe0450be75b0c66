#include "support/made_roasts/milestone_score.hpp"

#include <algorithm>
#include <cmath>

namespace drumwatch {
namespace {

double seconds_of(Tick tick) { return static_cast<double>(tick.ms) / 1000; }

/// From when the milestone happened to when it was first said, of the last event that set it so.
std::optional<double> said_after_s(const RerunResult& result, Milestone milestone, Tick at) {
    for (const Event& event : result.events) {
        const bool sets = event.kind == EventKind::milestone_set || event.kind == EventKind::milestone_moved;
        if (sets && event.milestone == milestone && event.at == at)
            return seconds_of(event.tick) - seconds_of(event.at);
    }
    return std::nullopt;
}

void score_one(std::optional<double> true_s, const RerunResult& result, Milestone milestone,
               MilestoneScore& score) {
    const auto& found = result.milestones[static_cast<std::size_t>(milestone)];
    if (true_s) ++score.there;
    if (!found) {
        if (true_s) ++score.missed;
        return;
    }
    if (!true_s) {
        ++score.phantom;
        return;
    }
    const double off_s = seconds_of(found->at) - *true_s;
    if (std::fabs(off_s) > kFarOff_s) {
        ++score.missed;
        return;
    }
    score.off_s.push_back(off_s);
    if (const auto late_s = said_after_s(result, milestone, found->at)) score.late_s.push_back(*late_s);
}

/// The batch after the one that the result is about.
void score_next_charge(const AwkwardTruth& truth, const RerunResult& result, MilestoneScore& score) {
    if (!truth.next_charge_s) return;
    ++score.there;
    const auto& first = result.milestones[static_cast<std::size_t>(Milestone::charge)];
    std::optional<double> found_s;
    for (const Event& event : result.events) {
        const bool charge = event.kind == EventKind::milestone_set && event.milestone == Milestone::charge;
        if (charge && (!first || first->at < event.at)) found_s = seconds_of(event.at);
    }
    if (!found_s || std::fabs(*found_s - *truth.next_charge_s) > kFarOff_s) {
        ++score.missed;
    } else {
        score.off_s.push_back(*found_s - *truth.next_charge_s);
    }
}

}  // namespace

void score(const AwkwardTruth& truth, const RerunResult& result, MilestoneScores& scores) {
    const std::array times = {truth.charge_s, truth.turning_point_s, truth.drop_s};
    for (std::size_t i = 0; i < kScored.size(); ++i) score_one(times[i], result, kScored[i], scores[i]);
    score_next_charge(truth, result, scores[0]);
}

void add(MilestoneScores& sum, const MilestoneScores& more) {
    for (std::size_t i = 0; i < sum.size(); ++i) {
        sum[i].off_s.insert(sum[i].off_s.end(), more[i].off_s.begin(), more[i].off_s.end());
        sum[i].late_s.insert(sum[i].late_s.end(), more[i].late_s.begin(), more[i].late_s.end());
        sum[i].there += more[i].there;
        sum[i].missed += more[i].missed;
        sum[i].phantom += more[i].phantom;
    }
}

double quantile_of_sizes(std::vector<double> values, double share) {
    if (values.empty()) return 0;
    for (double& value : values) value = std::fabs(value);
    std::sort(values.begin(), values.end());
    return values[std::min(values.size() - 1,
                           static_cast<std::size_t>(share * static_cast<double>(values.size())))];
}

}  // namespace drumwatch

// How well charge, turning point and drop were found in files whose truth is known: what a bench prints and
// a test guards.
#pragma once

#include <array>
#include <vector>

#include "rerun/rerun.hpp"
#include "support/made_roasts/awkward.hpp"

namespace drumwatch {

inline constexpr std::array kScored = {Milestone::charge, Milestone::turning_point, Milestone::drop};
inline constexpr double kFarOff_s = 15;

struct MilestoneScore {
    std::vector<double> off_s;   ///< found minus true, those within kFarOff_s
    std::vector<double> late_s;  ///< from when it happened to when it was said
    int there = 0;
    int missed = 0;   ///< there and not found, or more than kFarOff_s off
    int phantom = 0;  ///< found and not there
};
using MilestoneScores = std::array<MilestoneScore, kScored.size()>;

/// Adds one file's milestones to the scores.
void score(const AwkwardTruth& truth, const RerunResult& result, MilestoneScores& scores);
void add(MilestoneScores& sum, const MilestoneScores& more);

/// Of the sizes of the values; 0 where there are none.
double quantile_of_sizes(std::vector<double> values, double share);

}  // namespace drumwatch

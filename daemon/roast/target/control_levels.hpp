// Moves from the level of a control alone, looked at afterwards and as a whole: unlike the live detector
// (follow/moves.hpp) it sees what came after. PURE.
//
// The readings are cut into stretches of one level so that squares and the number of cuts are least together
// (optimal partitioning with pruning: R. Killick, P. Fearnhead and I. A. Eckley, "Optimal detection of
// changepoints with a linear computational cost", 2012, from memory). A stretch that lasts and has no trend
// is a hold; what lies between two holds is the hand, or a valve, under way.
#pragma once

#include <vector>

namespace drumwatch {

struct LevelReading {
    double t_s = 0;
    double level = 0;
};

struct LevelChange {
    double at_s = 0;  ///< when it began
    double from = 0;
    double to = 0;
};

/// `readings` in order of time, in %, kPa or steps. Smaller changes than `least` are none.
std::vector<LevelChange> level_changes(const std::vector<LevelReading>& readings, double least);

}  // namespace drumwatch

// The planned moves of make.hpp: what most roasts did, and by which clock. PURE.
#pragma once

#include <vector>

#include "roast/target/made_curve.hpp"

namespace drumwatch {

/// In order of time; notes say what was outvoted and why a trigger was taken.
std::vector<PlannedMove> made_moves(const std::vector<SourceRoast>& roasts, const MadeCurve& curve,
                                    std::vector<MakingNote>& notes);

/// One happening in several roasts by the three clocks that a trigger can have.
struct Happenings {
    std::vector<double> at_s;
    std::vector<double> bean_c;
    std::vector<double> after_crack_s;  ///< as many as at_s, or it is not asked
    double per_second = 0;              ///< the bean's usual rise then, degrees C
};

struct ChosenTrigger {
    Trigger trigger;       ///< the middle of its clock
    double spread_s = 0;   ///< by this clock
    double usual_s = 0;    ///< by the usual clock
    bool changed = false;  ///< it is not the usual one
};

/// The clock by which it happened most steadily, if that is clear; else `usual`.
ChosenTrigger choose_trigger(const Happenings& happenings, TriggerKind usual);

}  // namespace drumwatch

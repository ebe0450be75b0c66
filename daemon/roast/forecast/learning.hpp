// What a finished roast teaches about the next one of the same coffee on the same machine. PURE.
//
// The crack temperature is a mean that fades (Roberts, "Control chart tests based on geometric moving
// averages", Technometrics 1959, from memory), since it drifts with the lot and with the probe's state. A
// mark far from what was known counts as if it were nearer, so that a wild one does not ruin it. Numbers are
// judgement, measured on made roasts (tools/bench/curve.cpp).
#pragma once

#include <optional>

#include "core/lessons.hpp"
#include "core/milestone.hpp"
#include "core/tick.hpp"
#include "roast/target/target_curve.hpp"

namespace drumwatch {

struct Lesson {
    double crack_c = 0;          ///< bean temperature at the marked first crack
    std::optional<double> pace;  ///< see Lessons
};

/// A curve's two points between which the pace is taken; seconds since charge, degrees C.
struct Stretch {
    double yellow_s = 0;
    double yellow_c = 0;
    double crack_s = 0;
    double crack_c = 0;
};

/// log of the time that the stretch took over the target's; nothing where it is too short, or the target
/// lacks the temperatures.
std::optional<double> pace_of(const TargetCurve& target, const Stretch& stretch);

/// What a roast with these milestones teaches; nothing without a first crack that a person marked.
std::optional<Lesson> lesson_of(const MilestoneSet& milestones, const TargetCurve* target);

Lessons learned(const Lessons& before, const Lesson& lesson);

/// A new lot, or a probe that was wiped, moved or replaced: what was known counts for little until new roasts
/// have confirmed it.
Lessons doubted(const Lessons& before);

}  // namespace drumwatch

// A target from one or several roasts. PURE; any thread.
//
// - The roasts are laid one over the other at their charges. Where one fits clearly better when moved by at
// most
//   5 s (a charge tapped late), it is moved.
// - A roast that lies far from the middle of three or more is left out; the curve is the middle of the others
// at
//   each second since charge, smoothed (local_fit.hpp).
// - A move belongs to the plan when more than half of the roasts that record the control made it: late, wrong
//   and forgotten ones are outvoted. Its level and its time are the middle ones. Its trigger is a bean
//   temperature or a time after first crack only where three or more roasts show that clearly, else a time.
// - Marks have the middle of their times and the curve's temperature there.
// - The corridor is what the roasts kept among themselves, never below the site's and at most twice it.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "core/making_note.hpp"
#include "core/target.hpp"
#include "roast/target/control_levels.hpp"

namespace drumwatch {

struct ControlTrack {
    LevelUnit unit = LevelUnit::percent;
    std::vector<LevelReading> readings;  ///< empty: not recorded
};

/// Times in seconds since its charge; readings in order of time, good ones only, some seconds before the
/// charge included.
struct SourceRoast {
    std::string name;
    std::vector<TargetPoint> bean;
    std::vector<TargetPoint> exhaust;
    std::array<ControlTrack, kControls> controls;
    /// Charge (0) and drop are there; yellow and the cracks where they were marked.
    std::array<std::optional<double>, kMilestones> milestones_s;
    double drop_s() const { return *milestones_s[static_cast<std::size_t>(Milestone::drop)]; }
};

struct MadeTarget {
    Target target;  ///< without name, station, coffee and status
    std::vector<MakingNote> notes;
};

/// At least one roast.
MadeTarget make_target(const std::vector<SourceRoast>& roasts, const Tolerance& site);

}  // namespace drumwatch

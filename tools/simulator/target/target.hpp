#pragma once

#include <map>
#include <string>
#include <utility>
#include <vector>

#include "simulator/machine/machine.hpp"

namespace drumwatch::simulator {

struct TargetMilestone {
    double at_s = 0.0;
    double bean_c = 0.0;
};

/// The curve to follow, in seconds since charge and degrees C, as the target file holds it.
struct Target {
    std::string name;
    std::string station;
    std::string coffee;
    double charge_kg = 0.0;
    std::vector<std::pair<double, double>> points;  ///< time rises
    std::map<std::string, TargetMilestone> milestones;
    std::vector<PlannedMove> moves;
    Trigger drop;

    double end_s() const { return points.empty() ? 0.0 : points.back().first; }
    /// Between the points linear, outside them the nearest one. Undefined without points.
    double bean_c_at(double at_s) const;
    /// When the target makes this move: from the trigger and the curve itself.
    double planned_at_s(const Trigger& when) const;
};

/// The target of a machine's own schedule: the model itself, without noise, scatter and errors.
Target own_target(const Machine& machine);

/// The target file's text. With `approved_by` its status is "approved", without it "trial".
std::string target_text(const Target& target, const std::string& approved_by);

/// Reads what a review needs from a target file; throws SetupError.
Target load_target(const std::string& path);

}  // namespace drumwatch::simulator

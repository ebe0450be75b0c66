// A small invented target for tests: straight pieces, easy to reckon with in the head.
#pragma once

#include <memory>

#include "core/target.hpp"

namespace drumwatch {

/// 200 C at charge, 80 C at 60 s, then 12 C a minute: 140 C at 360 s, 200 C at 660 s (drop). First crack 188
/// C at 600 s. Approved.
inline Target straight_target() {
    Target target;
    target.name = "Straight";
    target.coffee = "Invented";
    target.status = TargetStatus::approved;
    target.approved_by = "the tasting table";
    target.points = {{0, 200}, {60, 80}, {660, 200}};
    target.milestones[static_cast<std::size_t>(Milestone::turning_point)] = TargetMilestone{60, 80.0};
    target.milestones[static_cast<std::size_t>(Milestone::first_crack)] = TargetMilestone{600, 188.0};
    target.drop = Trigger{TriggerKind::bean_c, 200};
    return target;
}

/// The same with bands for what is weighed and measured after the drop.
inline Target banded_target() {
    Target target = straight_target();
    target.charge_kg = 12;
    target.weight_loss_pct = Band{14, 15};
    target.colour = Band{55, 60};
    return target;
}

inline PlannedMove planned(Control control, double to, TriggerKind kind, double value) {
    return {control, to, LevelUnit::percent, {kind, value}};
}

inline TargetPtr share(Target target) { return std::make_shared<const Target>(std::move(target)); }

}  // namespace drumwatch

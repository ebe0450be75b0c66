// The curve to follow, as plain data; roast/target reads it, files/target_json writes it (format: there).
// Temperatures in degrees Celsius, times in seconds since charge. A target never changes once it is in use:
// share it as std::shared_ptr<const Target>.
#pragma once

#include <array>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "core/milestone.hpp"

namespace drumwatch {

struct TargetPoint {
    double t_s = 0;
    double bean_c = 0;

    friend bool operator==(const TargetPoint&, const TargetPoint&) = default;
};

enum class TriggerKind : std::uint8_t { at_s, bean_c, after_first_crack_s };
std::string_view name(TriggerKind kind);

struct Trigger {
    TriggerKind kind = TriggerKind::at_s;
    double value = 0;  ///< s, degrees C, or s, by kind

    friend bool operator==(const Trigger&, const Trigger&) = default;
};

struct PlannedMove {
    Control control = Control::burner;
    double to = 0;
    LevelUnit unit = LevelUnit::percent;
    Trigger when;
};

struct TargetMilestone {
    double at_s = 0;
    std::optional<double> bean_c;
    std::optional<double> spread_s =
        {};  ///< standard deviation over the roasts that the target was made from
};

/// Default verdict limits: judgement, no source; 10 s for a move is common practice.
struct Tolerance {
    double bean_c = 1.1;       ///< corridor at the least (2 degrees Fahrenheit)
    double hold_c = 2.2;       ///< far outside
    double rise_s = 5;         ///< the corridor is at least what the target rises in this time
    double outside_s = 15;     ///< longer than this outside counts
    double from_s = 150;       ///< judged from here
    double move_s = 10;        ///< a planned move further off than this counts
    double end_taste_c = 1.1;  ///< end temperature off by more: taste
    double end_hold_c = 2.2;   ///< end temperature off by more: hold
    double gap_s = 15;         ///< longer without a good reading: unjudged
    friend bool operator==(const Tolerance&, const Tolerance&) = default;
};

struct Band {
    double low = 0;
    double high = 0;
    friend bool operator==(const Band&, const Band&) = default;
};

enum class TargetStatus : std::uint8_t { trial, approved, retired };
std::string_view name(TargetStatus status);

struct Target {
    std::string name;
    int version = 1;
    TargetStatus status = TargetStatus::trial;
    std::string approved_by;
    std::string station;
    std::string coffee;
    /// The sample roast of another machine that this target's times come from; empty: none. Its temperatures
    /// never do.
    std::string seeded_from;
    std::optional<double> charge_kg;
    std::optional<Band> weight_loss_pct;  ///< percent of the charge
    std::optional<Band> colour;           ///< by the site's own meter and scale
    std::vector<TargetPoint> points;      ///< strictly increasing t_s, at least two
    std::vector<TargetPoint> exhaust_points;
    std::array<std::optional<TargetMilestone>, kMilestones> milestones;
    std::vector<PlannedMove> moves;
    std::optional<Trigger> drop;
    Tolerance tolerance;
};

using TargetPtr = std::shared_ptr<const Target>;

}  // namespace drumwatch

// The way from the present temperature to the crack temperature. PURE.
#pragma once

#include <optional>

#include "roast/forecast/forecast.hpp"

namespace drumwatch {

struct CrackPath {
    double to_go_s = 0;      ///< negative: the crack temperature has been passed
    double rise_there = 0;   ///< C/min at the crack temperature
    double error_share = 0;  ///< spread of to_go_s, as a share of it
    double by_target_s = 0;  ///< what the target takes from here
    double pace_s = 0;       ///< more, by this roast's lead and the pace of earlier roasts
    double heat_s = 0;       ///< more, by the present rate of rise and burner levels off the plan
};

/// Nothing where the target has no rising part at these temperatures.
std::optional<CrackPath> path_by_target(const ForecastInput& input);

/// Exact time along rise(T) = usual + (rise - usual) exp(-(T - T0) / fade), where the fade has the slope seen
/// at T0. The rate of rise must be above zero.
CrackPath path_alone(const ForecastInput& input);

}  // namespace drumwatch

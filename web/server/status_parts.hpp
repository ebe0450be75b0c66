// The part of the status that speaks of the target: how the roast follows it, moves, forecast, fan.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <optional>

#include "core/snapshot.hpp"

namespace drumwatch {

/// Adds target, next_move, moves, forecast, no_forecast, drop and fan.
void add_following(nlohmann::ordered_json& status, const Snapshot& snapshot);
nlohmann::ordered_json number_or_null(std::optional<double> value);

}  // namespace drumwatch

// The snapshot as the JSON of /api/status and of each live event; the schema stands in openapi.json. Pure;
// any thread. A number that is not known is null, never the last good one.
#pragma once

#include <cstdint>
#include <string>

#include "core/wall_time.hpp"
#include "web/api.hpp"

namespace drumwatch {

std::string status_json(const Snapshot& snapshot, const BoxState& box, const StationFacts& facts);

}  // namespace drumwatch

// The snapshot as the JSON of /api/status and of each live event; the schema stands in openapi.json. Pure;
// any thread. A number that is not known is null, never the last good one.
#pragma once

#include <cstdint>
#include <string>

#include "web/api.hpp"

namespace drumwatch {

std::string status_json(const Snapshot& snapshot, const BoxState& box, const StationFacts& facts);
/// "2026-11-25T10:42:07.250Z" (RFC 3339).
std::string utc_text(WallTime time);

}  // namespace drumwatch

// Which roasts of one record another has not, or has otherwise. Thread: any; the connections'.
#pragma once

#include <cstdint>
#include <vector>

#include "record/database.hpp"

namespace drumwatch {

struct LostRoasts {
    std::uint64_t count = 0;
    std::vector<std::uint64_t> newest;  ///< twenty at most, the newest first
};

/// Two roasts are the same if their rows are, and what their newest seals say where both have one: that is
/// events, commands and readings too (seal.hpp). Either record may be of a schema without seals.
Result<LostRoasts> lost_roasts(Database& record, Database& backup);

}  // namespace drumwatch

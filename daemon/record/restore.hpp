// A backup put in the place of a record. Nothing is deleted: the record that is there is set aside. Thread:
// any; no daemon may hold the record (its lock is taken). Blocks on the disk.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/result.hpp"

namespace drumwatch {

/// What a person should know before they say yes.
struct RestoreLook {
    std::uint64_t roasts = 0;  ///< in the backup
    std::uint64_t lost = 0;    ///< roasts of the record that the backup does not have, or has otherwise
    std::vector<std::uint64_t> lost_roasts;  ///< their numbers, the first twenty
    bool record_there = false;
    std::string record_trouble;  ///< why the record there can't be compared; empty where it can
};

/// Verifies the backup whole; the error says what is wrong with it.
Result<RestoreLook> look_before_restore(const std::string& backup, const std::string& record);
/// Where the record that was there lies now; empty: there was none.
Result<std::string> restore(const std::string& backup, const std::string& record);

}  // namespace drumwatch

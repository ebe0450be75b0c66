// Whether a record is whole: SQLite's own integrity check, then every row that this program wrote is read
// back: packed frames with their check sums, roasts with their milestones and verdicts. Read-only; works
// while the daemon writes and on a backup. Thread: any.
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <vector>

#include "core/result.hpp"

namespace drumwatch {

struct VerifyFound {
    std::uint64_t watches = 0;
    std::uint64_t roasts = 0;
    std::uint64_t frame_rows = 0;
    std::vector<std::string> damage;  ///< a sentence each, with the row that is touched; empty: whole
};

/// `progress` is told watches done and watches in all; may be empty. The error: it can't be opened or is no
/// record.
Result<VerifyFound> verify_record(const std::string& path,
                                  const std::function<void(std::uint64_t, std::uint64_t)>& progress);

}  // namespace drumwatch

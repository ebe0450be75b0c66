// Whether a record is whole and as it was written: SQLite's own integrity check, then every row that this
// program wrote is read back (packed frames with their check sums, roasts with their milestones and verdicts)
// and held against its seal (seal.hpp). Read-only; works while the daemon writes and on a backup. Thread:
// any.
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
    std::uint64_t seals = 0;
    std::uint64_t unsealed = 0;  ///< roasts that have none yet: not over, or over a moment ago
    std::string
        newest_link;  ///< hex; empty: no seal. Noted elsewhere it shows later that the chain is the same
    std::vector<std::string> damage;   ///< a sentence each, with the row that is touched; empty: whole
    std::vector<std::string> changed;  ///< the same for what is not as it was sealed; a backup keeps that too
    bool good() const { return damage.empty() && changed.empty(); }
};

struct VerifyOrder {
    std::string path;
    std::string noted_link;  ///< the beginning of a link (hex) that the chain must hold; empty: none
    std::function<void(std::uint64_t, std::uint64_t)>
        progress;       ///< sealed roasts done and in all; may be empty
    bool seals = true;  ///< false: only whether it is whole, which costs half as much
};

/// The error: it can't be opened or is no record.
Result<VerifyFound> verify_record(const VerifyOrder& order);
inline Result<VerifyFound> verify_record(const std::string& path) {
    return verify_record(VerifyOrder{path, {}, {}, true});
}
/// Whether a copy is whole.
inline Result<VerifyFound> verify_copy(const std::string& path) {
    return verify_record(VerifyOrder{path, {}, {}, false});
}

}  // namespace drumwatch

// When a prompt is worth a soft chime, on a site that wants one: once for each move, first crack and drop,
// just before it comes. PURE.
#pragma once

#include <cstdint>
#include <utility>
#include <vector>

#include "core/snapshot.hpp"

namespace drumwatch {

inline constexpr double kChimeAhead_s = 5;  ///< judgement, no source

class PromptChimes {
  public:
    /// At each tick: whether one is due now.
    bool look(const Snapshot& now);

  private:
    std::uint64_t roast_ = 0;
    std::vector<std::pair<PromptKind, std::int16_t>> said_;  ///< kind, planned move
};

}  // namespace drumwatch

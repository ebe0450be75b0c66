// Notices that the wall clock was set while the steady clock went on: labels given before are then wrong by
// that step. Thread: core.
#pragma once

#include <cstdint>
#include <optional>

#include "core/clock.hpp"

namespace drumwatch {

class WallSteps {
  public:
    /// A watch begins, or has begun, with this tick.
    void begin(Tick first) { first_ = first; }
    /// Once a tick; the clocks must run at the same speed. After a step of more than 2 s (judgement, no
    /// source): when the watch began, by the wall clock as it stands now.
    std::optional<WallTime> look(const Clock& clock, Tick now);

  private:
    Tick first_;
    std::optional<std::int64_t> apart_ms_;  ///< wall clock minus steady clock
};

}  // namespace drumwatch

// What the feeders ask for the time. The engine never does.
#pragma once

#include "core/tick.hpp"
#include "core/wall_time.hpp"

namespace drumwatch {

/// Thread: any. Never fails. `steady_ms` never goes back; on a simulated station it is simulated time.
class Clock {
  public:
    virtual ~Clock() = default;
    virtual std::int64_t steady_ms() const = 0;
    virtual WallTime wall() const = 0;
};

}  // namespace drumwatch

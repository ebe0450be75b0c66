// How the box itself is, told to the engine when it changes. Thread: core.
#pragma once

#include <optional>
#include <vector>

#include "config/config.hpp"
#include "core/observation.hpp"
#include "record/recorder.hpp"

namespace drumwatch {

class BoxHealth {
  public:
    explicit BoxHealth(const Config& config) : speed_(config.simulated ? config.simulated->speed : 1) {}
    /// `machine_ms`: on a simulated station, how far the machine's own time has gone.
    std::vector<Observation> judge(Tick now, const RecorderStatus& record,
                                   std::optional<std::int64_t> machine_ms);

  private:
    void note(std::vector<Observation>& changes, Tick now, Health health, bool bad);

    double speed_;
    std::uint32_t bad_ = 0;
};

}  // namespace drumwatch

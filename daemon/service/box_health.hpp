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
    explicit BoxHealth(const Config& config)
        : speed_(config.simulated ? config.simulated->speed : 1),
          asks_clock_(!config.simulated || !config.simulated->stepped) {}
    /// `machine_ms`: on a simulated station, how far the machine's own time has gone. The wall clock is asked
    /// only once in ten seconds, and not at all on a stepped station: its labels mean nothing.
    std::vector<Observation> judge(Tick now, const RecorderStatus& record,
                                   std::optional<std::int64_t> machine_ms);
    /// What the engine was told already, where it goes on: bits by Health.
    void stands(std::uint32_t bad) { bad_ = bad; }

  private:
    void note(std::vector<Observation>& changes, Tick now, Health health, bool bad);

    double speed_;
    bool asks_clock_;
    std::optional<Tick> asked_clock_;
    std::uint32_t bad_ = 0;
};

}  // namespace drumwatch

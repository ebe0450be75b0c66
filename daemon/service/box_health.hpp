// How the box itself is, told to the engine when it changes. Thread: core.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "config/config.hpp"
#include "core/observation.hpp"
#include "record/recorder.hpp"

namespace drumwatch {

class BoxHealth {
  public:
    using Run = std::function<void(std::function<void()>)>;

    /// `elsewhere` runs work on a thread that may wait, `back` on the core's: it must outlive both.
    BoxHealth(const Config& config, Run elsewhere, Run back, std::string sys = "/sys");
    /// `machine_ms`: on a simulated station, how far the machine's own time has gone. The wall clock and
    /// the sensors are asked only once in ten seconds, and not at all on a stepped station: its labels mean
    /// nothing.
    std::vector<Observation> judge(Tick now, const RecorderStatus& record,
                                   std::optional<std::int64_t> machine_ms);
    /// The wall clock was set at this tick. It is no news while nothing sets the clock: that it is set at
    /// last is what everybody waits for.
    void clock_stepped(Tick now);
    /// What the engine was told already, where it goes on: bits by Health.
    void stands(std::uint32_t bad) { bad_ = bad; }

  private:
    bool is_bad(Health health) const { return (bad_ & 1u << static_cast<unsigned>(health)) != 0; }
    void ask_sensors(Tick now);
    void note(std::vector<Observation>& changes, Tick now, Health health, bool bad);

    Run elsewhere_;
    Run back_;
    std::string sys_;
    double speed_;
    bool has_days_;  ///< a stepped station has none, and keeps no pace with the box
    std::optional<Tick> asked_clock_;
    std::optional<Tick> asked_heat_;
    std::optional<Tick> stepped_;
    std::optional<double> hottest_c_;
    std::uint32_t bad_ = 0;
};

}  // namespace drumwatch

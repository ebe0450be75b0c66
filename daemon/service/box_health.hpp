// How the box itself is, told to the engine when it changes. Thread: core.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "config/config.hpp"
#include "core/clock.hpp"
#include "core/observation.hpp"
#include "record/recorder.hpp"
#include "service/wall_steps.hpp"

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
    /// A watch begins, or has begun, with this tick.
    void begin(Tick first) { steps_.begin(first); }
    /// Once a tick, nothing on a simulated station. After the wall clock was set: when the watch began, by
    /// what it says now. It is no bad news where nothing had set the clock before: all wait for that.
    std::optional<WallTime> look_at_clock(const Clock& clock, Tick now);
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
    bool simulated_;
    bool has_days_;  ///< a stepped station has none, and keeps no pace with the box
    std::optional<Tick> asked_clock_;
    std::optional<Tick> asked_heat_;
    WallSteps steps_;
    std::optional<Tick> stepped_;
    std::optional<double> hottest_c_;
    std::uint32_t bad_ = 0;
};

}  // namespace drumwatch

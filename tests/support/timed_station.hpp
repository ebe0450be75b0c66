// The daemon as shipped, at 4 ticks a second, on a TimedSlave: one temperature, the sounder on coil 0 and a
// button that acknowledges on discrete input 0. Its record lies in a folder whose disk can be stalled. Nobody
// roasts.
#pragma once

#include <optional>
#include <string>

#include "support/child_process.hpp"
#include "support/temp_dir.hpp"
#include "support/timed_slave.hpp"

namespace drumwatch {

struct TimedStationPlan {
    std::string daemon;              ///< the program
    std::string stalled_disk_calls;  ///< the module to load into it; empty: none
    std::chrono::milliseconds answers_after{0};
    int on_delay_ms = 0;  ///< of the bean's high-high, which is at 240 °C
    bool latches = false;
    bool button = false;  ///< acknowledges; one more request in each poll
};

class TimedStation {
  public:
    static constexpr int kTick_ms = 250;
    static constexpr std::int16_t kCool = 2390;
    static constexpr std::int16_t kHot = 2410;

    /// Starts it, cool.
    explicit TimedStation(TimedStationPlan plan);

    TimedSlave& slave() { return slave_; }
    ChildProcess& daemon() { return *daemon_; }
    std::uint16_t port() const { return port_; }  ///< of the page
    std::string record() const { return records_ + "/record.sqlite"; }
    void stall_disk(bool stalled);
    /// SIGKILL and a new daemon on the same record; `between` is done while none runs.
    template <typename Between>
    void kill_and_restart(Between between) {
        daemon_->kill();
        between();
        start();
    }
    /// SIGTERM, with a disk that answers: its exit status.
    std::optional<int> stop();

  private:
    void start();

    TimedStationPlan plan_;
    TempDir folder_;
    std::string records_;
    TimedSlave slave_;
    std::optional<ChildProcess> daemon_;
    std::uint16_t port_ = 0;
};

}  // namespace drumwatch

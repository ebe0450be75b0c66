// All buses of a station: polls that end just before their tick, what came back, which bus is silent, and the
// coil jobs of sounder and heartbeat. Thread: core, but for the poll callbacks, which post.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "config/config.hpp"
#include "core/observation.hpp"
#include "drivers/host.hpp"
#include "service/latest_readings.hpp"

namespace drumwatch {

class BusRoom {
  public:
    /// Runs a function on the core thread; safe from any thread.
    using Post = std::function<void(std::function<void()>)>;
    /// A poll has ended: the bus, and the machine's own time where it carries one.
    using Polled = std::function<void(std::size_t bus, std::optional<std::uint32_t> machine_ms)>;

    BusRoom(const Config& config, LatestReadings& latest, Post post, Polled polled);

    /// Before the first poll: no bus has been silent for longer than since this tick.
    void begin(Tick now);
    void poll_all();
    void poll(std::size_t bus);
    /// Real time before a tick at which polls should start, from the newest round trips.
    std::int64_t lead_us() const;
    /// Judges which buses are silent now; gives what has changed.
    std::vector<Observation> judge(Tick now);
    std::uint32_t silent_channels() const { return silent_channels_; }

    /// Sets the outputs to what this tick asks for; writes only what differs from what was written last.
    void drive(Tick now, bool sounder_on);
    /// Sounder off, then every bus stopped and joined.
    void stop();

    std::vector<std::string> complaints() const;  ///< one sentence a silent bus
    std::vector<std::string> names() const;

  private:
    struct Bus {
        std::unique_ptr<BusHost> host;
        std::uint32_t channels = 0;  ///< bits
        Tick last_good;
        bool answered = false;  ///< since the newest judgement
        int unanswered = 0;     ///< polls asked for since the newest answer
        bool silent = false;
        std::int64_t worst_us = 0;  ///< decaying
    };
    struct Coil {
        std::optional<CoilConfig> where;
        std::optional<bool> written;
        std::optional<bool> asked;
        Tick asked_at;
    };

    void take(std::size_t bus, const PollOutcome& outcome);
    void write(Coil& coil, bool on, Tick now);

    LatestReadings& latest_;
    Post post_;
    Polled polled_;
    std::vector<Bus> buses_;
    Coil sounder_;
    Coil heartbeat_;
    std::uint32_t silent_channels_ = 0;
};

}  // namespace drumwatch

// What the daemon tells the service manager that started it (sd_notify(3)): ready, alive, in words how it is,
// ending. Without one (a terminal, a test) nothing is sent. Thread: one, the core's; start-up before it.
//
// The watchdog is fed by the tick, at most once a second, so that a stuck engine is started anew (the unit
// allows 8 s, from readiness on: a long start is covered by busy()); a feed is held back
//   - while no tick is made. On a stepped station, whose time is the simulator's, a round of polls without an
//     answer counts too: a simulator that stopped is no stuck engine;
//   - when the recorder's thread has made no turn for kRecorderStuck although it isn't waiting for the disk.
// A disk that fails or doesn't answer holds nothing back: it is a failing record, said and alarmed, and a new
// start would cure nothing and lose what the memory still holds.
#pragma once

#include <chrono>
#include <cstdint>
#include <functional>
#include <string>

#include "core/snapshot.hpp"
#include "record/recorder.hpp"

namespace drumwatch {

class ServiceManager {
  public:
    using Tell = std::function<void(const std::string& message)>;
    using Instant = std::chrono::steady_clock::time_point;

    /// A recorder's turn takes at most its pace (5 s) where the disk answers.
    static constexpr std::chrono::seconds kRecorderStuck{15};

    explicit ServiceManager(Tell tell = to_service_manager);

    /// Something lasts longer than a start may: `sentence` says what, and it must be over `within`.
    void busy(const std::string& sentence, std::chrono::seconds within);
    /// A tick was made: the first one makes the daemon ready. `now` is real time, never scaled.
    void ticked(Instant now, const RecorderStatus& record, const Snapshot& snapshot);
    /// A round of polls ended on a stepped station, with or without an answer.
    void polled(Instant now);
    void ending();

    /// Does nothing without a service manager.
    static void to_service_manager(const std::string& message);

  private:
    void feed(Instant now, const std::string& and_status);

    Tell tell_;
    bool ready_ = false;
    std::string status_;
    std::uint64_t turns_ = 0;
    Instant recorder_alive_{};
    bool recorder_stuck_ = false;
    Instant fed_{};
};

/// How long opening a record of this size may take: it is checked, and an older one is copied first. 5 MB a
/// second is a slow SD card (judgement, no source).
std::chrono::seconds opening_time(std::uintmax_t record_bytes);

/// One sentence for `systemctl status`.
std::string station_sentence(const Snapshot& snapshot, const RecorderStatus& record);

}  // namespace drumwatch

// A Modbus TCP device with one temperature, one push-button and one coil that knows when what happened: when
// the register changed, when the reply that carried the change left, and when the coil was written. Frames as
// in the Modbus application protocol (functions 2, 4 and 5) over TCP. Methods from any thread.
#pragma once

#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <mutex>
#include <optional>
#include <vector>

#include "support/raw_server.hpp"

namespace drumwatch {

class TimedSlave {
  public:
    using Time = std::chrono::steady_clock::time_point;

    /// When, and how many polls of the temperature had been answered by then.
    struct Moment {
        Time at;
        int polls = 0;
    };
    struct Change {
        Time made;
        std::optional<Moment> carried;  ///< by the first reply with the new value
    };

    /// The register is read as the request comes; the answer leaves `answer_after` later.
    explicit TimedSlave(std::chrono::microseconds answer_after = {});

    std::uint16_t port() const { return server_.port(); }
    void set_bean(std::int16_t tenths);  ///< input register 0, 0.1 °C
    void press(bool down);               ///< discrete input 0
    int polls() const;                   ///< answered so far
    /// The newest change of the temperature.
    Change change() const;
    /// The first write of that level to coil 0 after the reply that carried the newest change. Nothing: none
    /// came in time.
    std::optional<Moment> await_coil(bool on, std::chrono::milliseconds within);
    /// True once so many polls were answered since the newest change was carried.
    bool await_polls(int since_carried, std::chrono::milliseconds within);

  private:
    struct Write {
        Moment when;
        bool on = false;
    };
    void answer(RawServer::Connection& connection, const Bytes& request);
    void sent(bool carries, int change);

    const std::chrono::microseconds answer_after_;
    mutable std::mutex mutex_;
    std::condition_variable happened_;
    std::int16_t bean_tenths_ = 0;
    bool pressed_ = false;
    int changes_ = 0;
    int polls_ = 0;
    Change change_{};
    std::vector<Write> writes_;  ///< since the newest change was made
    RawServer server_;           ///< last: its threads use all of the above
};

}  // namespace drumwatch

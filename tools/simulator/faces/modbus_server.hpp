#pragma once

#include <poll.h>

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "simulator/floor/floor.hpp"

namespace drumwatch::simulator {

/// The machine's Modbus TCP face. Registers count from 0; unit 1 (requests for other units get no answer).
///
///   input registers (function 4)   0..5    bean, exhaust, inlet, drum metal, tray, oxidiser: int16, tenths
///   of a
///                                          degree C, 0x7FFF (32767) = open probe
///                                  6..9    not used, 0x7FFF
///                                  10..21  the same six as float32, high word first (ABCD); NaN = open probe
///   holding registers (function 3) 0, 1    burner, airflow: uint16, tenths of a per cent, as set
///                                  2       drum speed: uint16, tenths of a turn a minute
///                                  3..4    simulated time: uint32, milliseconds, high word first
///                                  5       0 preheating, 1 ready to charge, 2 roasting, 3 between batches or
///                                  idle
///   discrete inputs (function 2)   0..3    four buttons
///   coils (functions 1, 5, 15)     0..5    sounder, heartbeat, red, yellow, blue and white light
///                                  6..15   not used
///                                  16..19  the fingers on the four buttons, for whoever plays the operator
///
/// Coils are the only things that a client can set; a change of one is a line of the truth, but for the
/// heartbeat's.
///
/// A request for anything else is answered with exception 1 (function) or 2 (address).
/// One thread; poll() on the descriptors of wait_for(), then serve(). Never blocks for longer than half a
/// second, and that only for a client that stops within a request.
class ModbusServer {
  public:
    struct Hooks {
        std::function<void()> before_request;   ///< bring the simulation up to now (scaled time)
        std::function<void()> after_time_read;  ///< an answer held the time registers (stepped time)
    };
    /// Listens at once; `port` 0 lets the kernel choose. Throws SetupError, for example when the port is in
    /// use.
    ModbusServer(const std::string& host, int port, Floor& floor, Hooks hooks);
    ~ModbusServer();

    int port() const;
    void wait_for(std::vector<pollfd>& descriptors) const;
    /// Real milliseconds until a held-back answer is due, or -1.
    int due_in_ms() const;
    void serve(const std::vector<pollfd>& descriptors);
    /// How often a client has changed the heartbeat coil.
    std::int64_t heartbeat_changes() const;

  private:
    struct Impl;
    std::unique_ptr<Impl> impl_;
};

}  // namespace drumwatch::simulator

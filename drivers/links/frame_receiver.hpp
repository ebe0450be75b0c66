// Reads one answer from a descriptor, with one deadline for all of it however it is cut.
//
// One thread; the descriptor must be non-blocking. poll(2) waits, so a descriptor above 1023 does no harm
// here (select() would).
#pragma once

#include <chrono>
#include <cstdint>
#include <span>

#include "drivers/byte_tap.hpp"
#include "drivers/links/modbus_frame.hpp"

namespace drumwatch {

struct Received {
    std::size_t bytes = 0;
    std::size_t length = 0;  ///< of the answer, as far as its bytes tell
    bool whole = false;      ///< neither whole nor an error: the time was up
    int error = 0;           ///< errno; an end of file is ECONNRESET
};

/// What modbus_frame.hpp has for TCP and RTU.
using ReplyLength = std::size_t (*)(const ModbusQuestion& question, std::span<const std::uint8_t> so_far);

/// `into` holds `already` bytes from before. Takes no byte more than the answer has.
Received receive_frame(int port, const ModbusQuestion& question, ReplyLength length_of,
                       std::span<std::uint8_t> into, std::size_t already,
                       std::chrono::steady_clock::time_point deadline);

/// Throws away what is there or comes until nothing has come for `quiet`, or until the deadline. Gives the
/// number of bytes; `error` as above. `tap` is told of what was thrown away.
Received drain(int port, std::chrono::microseconds quiet, std::chrono::steady_clock::time_point deadline,
               const ByteTap& tap);

}  // namespace drumwatch

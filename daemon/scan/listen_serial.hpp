// Lines that a serial device sends by itself. Nothing is ever sent to it.
//
// One thread, the caller's. The port is ours alone meanwhile (drivers/links/serial_port.hpp). 8 data bits, no
// parity, 1 stop bit.
#pragma once

#include <atomic>
#include <chrono>
#include <cstdint>
#include <string>
#include <vector>

#include "core/result.hpp"

namespace drumwatch {

struct Heard {
    std::vector<std::string> lines;  ///< whole ones, oldest first; the first, which may be a tail, left out
    std::size_t bytes = 0;
};

/// Listens until `enough` lines have come or the time is up. The newest kMostLines are kept.
inline constexpr std::size_t kMostLines = 100;
Result<Heard> listen(const std::string& device, std::uint32_t baud, std::chrono::milliseconds how_long,
                     std::size_t enough, const std::atomic<bool>& ended);

}  // namespace drumwatch

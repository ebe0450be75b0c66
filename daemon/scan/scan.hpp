// A read-only look at what is at the other end: units and registers of a Modbus device, or lines of a serial
// stream, and which of it is plausibly a temperature.
//
// One thread, the caller's; some seconds to some minutes. Nothing is written: functions 3 and 4 only, and a
// serial port that speaks by itself is only listened to.
#pragma once

#include <atomic>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "core/result.hpp"
#include "scan/scan_modbus.hpp"
#include "scan/scan_result.hpp"

namespace drumwatch {

struct ScanPlan {
    std::string host;  ///< Modbus TCP; empty: the serial device
    std::uint16_t port = 502;
    std::string device;
    std::optional<std::uint32_t> baud;  ///< nothing: the usual ones are tried
    std::optional<Parity> parity;       ///< likewise
    std::vector<std::uint8_t> units;
    ScanRange addresses;
    std::chrono::milliseconds timeout{500};   ///< for one answer
    std::chrono::milliseconds between{2000};  ///< the two reads of the registers
    std::chrono::milliseconds listen{5000};   ///< at each rate, where a stream is looked for
};

/// A sentence where nothing answers at all, or it was ended.
Result<ScanResult> scan(const ScanPlan& plan, const std::atomic<bool>& ended,
                        const ModbusScanner::Progress& progress);

}  // namespace drumwatch

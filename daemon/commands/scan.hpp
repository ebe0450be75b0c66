// `drumwatch probes --scan`, and the scan that `init` offers.
#pragma once

#include <atomic>
#include <cstdint>
#include <optional>
#include <string>

#include "scan/scan_result.hpp"

namespace CLI {
class App;
class Option;
}  // namespace CLI

namespace drumwatch {

struct ScanCall {
    std::string where;  ///< HOST[:PORT] or a device's path
    std::uint32_t baud = 0;
    std::string parity;
    std::string units = "1-20";
    std::string addresses = "0-199";
    std::uint32_t timeout_ms = 0;  ///< 0: 500 over TCP, 200 on a serial line
    bool json = false;
};

/// `config`: the argument that has no meaning beside them.
void add_scan_options(CLI::App& command, CLI::Option& config, ScanCall& call);
/// Prints what was found and the configuration. An exit code: kDone where there is a plausible temperature.
int run_scan(const ScanCall& call, const std::atomic<bool>& ended);
/// The scan alone; what went wrong has been said, and `exit_code` set.
std::optional<ScanResult> scan_device(const ScanCall& call, const std::atomic<bool>& ended, int& exit_code);

}  // namespace drumwatch

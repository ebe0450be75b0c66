#include "commands/scan.hpp"

#include <fmt/format.h>
#include <unistd.h>

#include <CLI/CLI.hpp>
#include <charconv>

#include "commands/commands.hpp"
#include "commands/complaint.hpp"
#include "scan/scan.hpp"

namespace drumwatch {
namespace {

constexpr int kMostAddresses = 2000;
constexpr std::uint32_t kTcpTimeout_ms = 500;
constexpr std::uint32_t kRtuTimeout_ms = 200;

std::optional<int> number(std::string_view text) {
    int value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc() || end != text.data() + text.size()) return std::nullopt;
    return value;
}

/// "7" or "1-20".
std::optional<std::pair<int, int>> range(const std::string& text, int low, int high) {
    const std::size_t dash = text.find('-');
    const auto first = number(std::string_view(text).substr(0, dash));
    const auto last = dash == std::string::npos ? first : number(std::string_view(text).substr(dash + 1));
    if (!first || !last || *first < low || *last > high || *first > *last) return std::nullopt;
    return std::pair{*first, *last};
}

std::optional<std::string> read_place(const ScanCall& call, ScanPlan& plan) {
    if (call.where.starts_with('/') || call.where.starts_with('.')) {
        plan.device = call.where;
        plan.timeout = std::chrono::milliseconds(call.timeout_ms > 0 ? call.timeout_ms : kRtuTimeout_ms);
        return std::nullopt;
    }
    plan.timeout = std::chrono::milliseconds(call.timeout_ms > 0 ? call.timeout_ms : kTcpTimeout_ms);
    const std::size_t colon = call.where.rfind(':');
    plan.host = call.where.substr(0, colon);
    if (colon == std::string::npos) return std::nullopt;
    const auto port = number(std::string_view(call.where).substr(colon + 1));
    if (!port || *port < 1 || *port > 65535 || plan.host.empty())
        return fmt::format(
            "--scan {}: HOST, HOST:PORT (1 to 65535) or a device such as /dev/ttyUSB0 is wanted", call.where);
    plan.port = static_cast<std::uint16_t>(*port);
    return std::nullopt;
}

std::optional<std::string> read_plan(const ScanCall& call, ScanPlan& plan) {
    if (auto wrong = read_place(call, plan)) return wrong;
    if (call.baud != 0) plan.baud = call.baud;
    if (call.parity == "none") plan.parity = Parity::none;
    if (call.parity == "even") plan.parity = Parity::even;
    if (call.parity == "odd") plan.parity = Parity::odd;
    const auto units = range(call.units, 1, 247);
    if (!units) return fmt::format("--units {}: one unit id or a range of 1 to 247 is wanted", call.units);
    for (int unit = units->first; unit <= units->second; ++unit)
        plan.units.push_back(static_cast<std::uint8_t>(unit));
    const auto addresses = range(call.addresses, 0, 65535);
    if (!addresses || addresses->second - addresses->first >= kMostAddresses)
        return fmt::format("--addresses {}: a range of at most {} registers, counted from 0, is wanted",
                           call.addresses, kMostAddresses);
    plan.addresses = {static_cast<std::uint16_t>(addresses->first),
                      static_cast<std::uint16_t>(addresses->second)};
    return std::nullopt;
}

/// One line that is written over; a line each where nobody looks.
void show(const std::string& what) {
    static const bool terminal = isatty(STDERR_FILENO) != 0;
    fmt::print(stderr, fmt::runtime(terminal ? "\r\033[K{}" : "{}\n"), what);
    std::fflush(stderr);
}

}  // namespace

std::optional<ScanResult> scan_device(const ScanCall& call, const std::atomic<bool>& ended, int& exit_code) {
    ScanPlan plan;
    if (const auto wrong = read_plan(call, plan)) {
        exit_code = complain(*wrong);
        return std::nullopt;
    }
    auto found = scan(plan, ended, show);
    if (isatty(STDERR_FILENO) != 0) show("");
    exit_code = found ? kDone : complain(found.error(), kFailed);
    if (!found) return std::nullopt;
    return std::move(found.value());
}

int run_scan(const ScanCall& call, const std::atomic<bool>& ended) {
    int code = kDone;
    const auto found = scan_device(call, ended, code);
    if (!found) return code;
    if (call.json) {
        fmt::print("{}\n", scan_json(*found));
    } else {
        fmt::print("{}\n{}", scan_report(*found), scan_configuration(*found));
    }
    if (std::fflush(stdout) != 0) return kFailed;
    if (found->temperatures() > 0) return kDone;
    return complain(
        "nothing plausible was found: no configuration is printed. With a probe warmed, or with "
        "other --addresses, there may be more to see",
        kFailed);
}

void add_scan_options(CLI::App& command, CLI::Option& config, ScanCall& call) {
    auto* scan = command.add_option("--scan", call.where,
                                    "look into a device instead, reading only: HOST, HOST:PORT or /dev/...");
    scan->excludes(&config);
    command.add_option("--baud", call.baud, "of the serial line; left out: the usual ones are tried")
        ->needs(scan)
        ->check(CLI::IsMember({1200, 2400, 4800, 9600, 19200, 38400, 57600, 115200, 230400}));
    command.add_option("--parity", call.parity, "none, even or odd; left out: the usual ones are tried")
        ->needs(scan)
        ->check(CLI::IsMember({"none", "even", "odd"}));
    command.add_option("--units", call.units, "Modbus unit ids to ask: 1-20")->needs(scan);
    command.add_option("--addresses", call.addresses, "registers to read, from 0: 0-199")->needs(scan);
    command.add_option("--timeout-ms", call.timeout_ms, "for one answer: 500 over TCP, 200 on a serial line")
        ->needs(scan)
        ->check(CLI::Range(50, 10000));
}

}  // namespace drumwatch

#include "scan/scan.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <thread>
#include <utility>

#include "scan/listen_serial.hpp"

namespace drumwatch {
namespace {

using std::chrono::milliseconds;

/// How long it is heard at first whether a serial device speaks unasked, which no Modbus unit does.
constexpr milliseconds kFirstListen{1500};
constexpr std::size_t kEnoughLines = 6;
constexpr std::size_t kFewLines = 2;
constexpr std::uint32_t kTextBauds[] = {9600, 115200, 19200, 57600, 38400, 4800, 230400};
/// MODBUS over Serial Line V1.02, section 3.1: 19200 and even is the default, 9600 must be there; the rest is
/// common practice, no source.
constexpr std::pair<std::uint32_t, Parity> kRtuLines[] = {
    {19200, Parity::even}, {9600, Parity::none},  {9600, Parity::even},   {19200, Parity::none},
    {38400, Parity::even}, {38400, Parity::none}, {115200, Parity::even}, {115200, Parity::none},
    {57600, Parity::even}, {57600, Parity::none}, {4800, Parity::none},   {9600, Parity::odd},
    {19200, Parity::odd},
};

class Scan {
  public:
    Scan(const ScanPlan& plan, const std::atomic<bool>& ended, const ModbusScanner::Progress& progress)
        : plan_(plan), ended_(ended), progress_(progress) {}

    Result<ScanResult> run() { return plan_.host.empty() ? serial() : tcp(); }

  private:
    Result<ScanResult> tcp();
    Result<ScanResult> serial();
    Result<ScanResult> rtu();
    Result<ScanResult> text();
    std::vector<std::pair<std::uint32_t, Parity>> rtu_lines() const;
    Result<ScanResult> look_into(ModbusScanner& scanner, const BusConfig& bus,
                                 std::vector<std::uint8_t> units);

    const ScanPlan& plan_;
    const std::atomic<bool>& ended_;
    const ModbusScanner::Progress& progress_;
    bool noise_ = false;
};

constexpr const char* kEnded = "ended before anything was found";

/// All that the units have, twice.
Result<ScanResult> Scan::look_into(ModbusScanner& scanner, const BusConfig& bus,
                                   std::vector<std::uint8_t> units) {
    ScanResult result;
    result.bus = bus;
    for (const std::uint8_t unit : units) {
        if (!result.images.empty() && scanner.shows_same(unit, result.images.front())) {
            result.same_as_first.push_back(unit);
            continue;
        }
        for (RegisterImage& image : scanner.read(unit, plan_.addresses))
            result.images.push_back(std::move(image));
    }
    result.units = std::move(units);
    progress_("waiting to see what moves");
    const auto end = std::chrono::steady_clock::now() + plan_.between;
    while (!ended_ && std::chrono::steady_clock::now() < end) std::this_thread::sleep_for(milliseconds(50));
    for (RegisterImage& image : result.images) scanner.read_again(image);
    if (ended_) return Error{kEnded};
    result.guesses = guess_registers(result.images);
    return result;
}

Result<ScanResult> Scan::tcp() {
    BusConfig bus;
    bus.kind = BusKind::modbus_tcp;
    bus.host = plan_.host;
    bus.port = plan_.port;
    ModbusScanner scanner(bus, plan_.timeout, ended_, progress_);
    if (const auto opened = scanner.open(); !opened)
        return Error{opened.error() +
                     ". Is the device on, is the address right, and does another program (a "
                     "Drumwatch that runs) hold its only connection?"};
    auto units = scanner.find_units(plan_.units, plan_.addresses.first);
    if (ended_) return Error{kEnded};
    if (units.empty())
        return Error{
            fmt::format("{}:{} takes a connection, but no unit answers: is it Modbus, does another "
                        "program hold its only connection, and which unit id has its manual?",
                        bus.host, bus.port)};
    return look_into(scanner, bus, std::move(units));
}

std::vector<std::pair<std::uint32_t, Parity>> Scan::rtu_lines() const {
    std::vector<std::pair<std::uint32_t, Parity>> lines;
    for (const auto& [baud, parity] : kRtuLines)
        if (baud == plan_.baud.value_or(baud) && parity == plan_.parity.value_or(parity))
            lines.emplace_back(baud, parity);
    if (lines.empty()) lines.emplace_back(plan_.baud.value_or(19200), plan_.parity.value_or(Parity::even));
    return lines;
}

/// The first line setting at which a unit answers; no units where none does.
Result<ScanResult> Scan::rtu() {
    for (const auto& [baud, parity] : rtu_lines()) {
        if (ended_) return Error{kEnded};
        BusConfig bus;
        bus.kind = BusKind::modbus_rtu;
        bus.device = plan_.device;
        bus.baud = baud;
        bus.parity = parity;
        bus.stop_bits = parity == Parity::none ? 2 : 1;
        progress_(fmt::format("Modbus RTU at {} baud, parity {}", baud,
                              parity == Parity::even  ? "even"
                              : parity == Parity::odd ? "odd"
                                                      : "none"));
        ModbusScanner scanner(bus, plan_.timeout, ended_, progress_);
        if (const auto opened = scanner.open(); !opened) return Error{opened.error()};
        auto units = scanner.find_units(plan_.units, plan_.addresses.first);
        noise_ = noise_ || scanner.heard_noise();
        if (!units.empty()) return look_into(scanner, bus, std::move(units));
    }
    return ScanResult{};
}

Result<ScanResult> Scan::text() {
    std::vector<std::uint32_t> bauds(std::begin(kTextBauds), std::end(kTextBauds));
    if (plan_.baud) bauds = {*plan_.baud};
    bool heard_bytes = false;
    for (std::size_t i = 0; i < bauds.size() && !ended_; ++i) {
        progress_(fmt::format("listening at {} baud", bauds[i]));
        const auto heard = listen(plan_.device, bauds[i], plan_.listen, kEnoughLines, ended_);
        if (!heard) return Error{heard.error()};
        heard_bytes = heard_bytes || heard.value().bytes > 0;
        const auto& lines = heard.value().lines;
        if (lines.empty() || !std::all_of(lines.begin(), lines.end(), is_readable)) {
            if (!heard_bytes && i + 1 >= kFewLines) break;  // bytes come at any rate, if any come
            continue;
        }
        ScanResult result;
        result.bus.kind = BusKind::serial_text;
        result.bus.device = plan_.device;
        result.bus.baud = bauds[i];
        result.newest_line = lines.back();
        result.text = guess_text(lines);
        return result;
    }
    if (ended_) return Error{kEnded};
    if (heard_bytes || noise_)
        return Error{plan_.device +
                     ": bytes come, but at none of the rates are they Modbus answers or lines "
                     "of text: give --baud and --parity of the device's manual, and look at "
                     "the cable"};
    return Error{
        plan_.device +
        ": nothing answers and nothing is heard: is the device on, are both wires of the pair on the "
        "right terminals, and is it one that must be asked for its lines (\"poll\")?"};
}

Result<ScanResult> Scan::serial() {
    progress_("listening whether the device speaks by itself");
    const auto heard = listen(plan_.device, plan_.baud.value_or(9600), kFirstListen, kEnoughLines, ended_);
    if (!heard) return Error{heard.error()};
    if (heard.value().bytes == 0) {
        auto found = rtu();
        if (!found || !found.value().units.empty()) return found;
    }
    return text();
}

}  // namespace

Result<ScanResult> scan(const ScanPlan& plan, const std::atomic<bool>& ended,
                        const ModbusScanner::Progress& progress) {
    return Scan(plan, ended, progress).run();
}

}  // namespace drumwatch

// The one table of drivers: a new kind of bus is one line here.
#include <fmt/core.h>

#include <algorithm>
#include <array>
#include <chrono>
#include <cmath>
#include <utility>

#include "drivers/complete_readings.hpp"
#include "drivers/driver.hpp"
#include "drivers/links/modbus_rtu.hpp"
#include "drivers/links/modbus_tcp.hpp"
#include "drivers/links/playback.hpp"
#include "drivers/links/serial_text.hpp"
#include "drivers/links/skeleton.hpp"

namespace drumwatch {
namespace {

struct Row {
    BusKind kind;
    std::unique_ptr<Driver> (*make)(const BusConfig& bus, std::chrono::milliseconds timeout, ByteTap tap,
                                    double speed);
    std::string (*place)(const BusConfig& bus);
    std::string_view what_to_do;
};

/// Most drivers know no time but that of their device.
template <auto make>
std::unique_ptr<Driver> in_real_time(const BusConfig& bus, std::chrono::milliseconds timeout, ByteTap tap,
                                     double) {
    return make(bus, timeout, std::move(tap));
}

std::unique_ptr<Driver> skeleton(const BusConfig& bus, std::chrono::milliseconds timeout, ByteTap, double) {
    return make_skeleton(bus, timeout);
}

std::unique_ptr<Driver> playback(const BusConfig& bus, std::chrono::milliseconds, ByteTap, double speed) {
    return make_playback(bus, speed);
}

std::string host_and_port(const BusConfig& bus) { return fmt::format("{}:{}", bus.host, bus.port); }
std::string device(const BusConfig& bus) { return bus.device; }

constexpr std::array kDrivers{
    Row{BusKind::modbus_tcp, in_real_time<make_modbus_tcp>, host_and_port,
        "See that the device has power, that its network cable is in, and that host, port and the channels' "
        "registers are those of its manual."},
    Row{BusKind::modbus_rtu, in_real_time<make_modbus_rtu>, device,
        "See that the devices have power, that both wires of the pair are on the right terminals, and that "
        "baud, parity, unit_id and the channels' registers are those of their manuals."},
    Row{BusKind::serial_text, in_real_time<make_serial_text>, device,
        "See that the device has power and sends by itself or answers \"poll\", and that baud, delimiter and "
        "fields are those of its manual."},
    Row{BusKind::playback, playback, device,
        "See that the file is a whole capture (drumwatch run --capture) whose channels have the names of "
        "this bus's channels."},
    Row{BusKind::skeleton, skeleton, device,
        "See that the file is there and may be read, and that delimiter and fields are those of its line."},
};

constexpr bool complete() {
    for (std::size_t i = 0; i < kDrivers.size(); ++i)
        if (static_cast<std::size_t>(kDrivers[i].kind) != i || kDrivers[i].what_to_do.empty()) return false;
    return kDrivers.size() == static_cast<std::size_t>(BusKind::skeleton) + 1;
}
static_assert(complete(), "every kind of bus has its row, in the order of the enumeration");

const Row& row_of(BusKind kind) { return kDrivers[static_cast<std::size_t>(kind)]; }

constexpr double kShortestTimeoutMs = 50;

}  // namespace

std::unique_ptr<Driver> make_driver(const BusConfig& bus, double speed, ByteTap tap) {
    const double real_ms = std::max(kShortestTimeoutMs, static_cast<double>(bus.timeout_ms) / speed);
    const std::chrono::milliseconds timeout(std::llround(real_ms));
    return with_complete_readings(bus, speed, row_of(bus.kind).make(bus, timeout, std::move(tap), speed));
}

std::string place_of(const BusConfig& bus) { return row_of(bus.kind).place(bus); }
std::string_view what_to_do(BusKind kind) { return row_of(kind).what_to_do; }

}  // namespace drumwatch

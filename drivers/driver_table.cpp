// The one table of drivers: a new kind of bus is one line here.
#include <algorithm>
#include <array>
#include <cassert>
#include <chrono>
#include <cmath>

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
    std::unique_ptr<Driver> (*make)(const BusConfig& bus, std::chrono::milliseconds timeout, double speed);
};

/// Most drivers know no time but that of their device.
template <auto make>
std::unique_ptr<Driver> in_real_time(const BusConfig& bus, std::chrono::milliseconds timeout, double) {
    return make(bus, timeout);
}

std::unique_ptr<Driver> playback(const BusConfig& bus, std::chrono::milliseconds, double speed) {
    return make_playback(bus, speed);
}

constexpr std::array kDrivers{
    Row{BusKind::modbus_tcp, in_real_time<make_modbus_tcp>},
    Row{BusKind::modbus_rtu, in_real_time<make_modbus_rtu>},
    Row{BusKind::serial_text, in_real_time<make_serial_text>},
    Row{BusKind::playback, playback},
    Row{BusKind::skeleton, in_real_time<make_skeleton>},
};

constexpr double kShortestTimeoutMs = 50;

}  // namespace

std::unique_ptr<Driver> make_driver(const BusConfig& bus, double speed) {
    const double real_ms = std::max(kShortestTimeoutMs, static_cast<double>(bus.timeout_ms) / speed);
    const std::chrono::milliseconds timeout(std::llround(real_ms));
    const auto row = std::find_if(kDrivers.begin(), kDrivers.end(),
                                  [&](const Row& candidate) { return candidate.kind == bus.kind; });
    assert(row != kDrivers.end());
    return with_complete_readings(bus, speed, row->make(bus, timeout, speed));
}

}  // namespace drumwatch

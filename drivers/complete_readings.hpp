// A driver whose readings are whole: round a link's own one, where channels of the bus need more than their
// number (sensors/bus_sensors.hpp).
#pragma once

#include <memory>

#include "drivers/driver.hpp"

namespace drumwatch {

/// `link` as it is where the bus has no such channel. Time for counters and for the age of a cold junction is
/// the machine's own where the bus has a time register, else the steady clock's, `speed` times as fast.
std::unique_ptr<Driver> with_complete_readings(const BusConfig& bus, double speed,
                                               std::unique_ptr<Driver> link);

}  // namespace drumwatch

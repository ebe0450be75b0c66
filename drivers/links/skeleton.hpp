// The driver to copy when you write a new one (DEVELOPERS.md says what else is to be done). It works, too,
// though no configuration can name it: `device` is a file with one line of numbers, the way Linux shows its
// own sensors, e.g. /sys/class/thermal/thermal_zone0/temp with scale 0.001.
//
// Say here, as for every driver: what the device is; what one poll costs and waits for; what each failure
// looks like; the source of the protocol. This one: a poll reads the file's first line (at most 256 bytes),
// waits for nothing; a file that is not there does not open; one that cannot be read any more is Link::down,
// `gone`; a field that is no number is a bad reply.
#pragma once

#include <chrono>
#include <memory>

#include "drivers/driver.hpp"

namespace drumwatch {

std::unique_ptr<Driver> make_skeleton(const BusConfig& bus, std::chrono::milliseconds timeout);

}  // namespace drumwatch

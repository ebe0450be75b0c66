// How far the sensor of a channel may be from its table at a temperature, where the wire says what it is.
//
// PURE; any thread. Which class a wire was bought in is on its label, not in the configuration: for
// thermocouples both usual classes are given, for platinum class B, wire-wound. Source: tolerance_class.hpp.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "drivers/sensors/sensor_source.hpp"

namespace drumwatch {

struct ProbeTolerance {
    std::string_view tolerance_class;  ///< "1", "2" or "B"
    double plus_minus_c = 0;
};

/// Empty where the sensor is no thermocouple or resistance thermometer, or no class holds there.
std::vector<ProbeTolerance> tolerances_of(const SensorSource& sensor, double celsius);

}  // namespace drumwatch

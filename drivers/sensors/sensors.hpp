// From what a sensor gives (millivolts, ohms, milliamperes, hertz) to what it measures.
//
// PURE: any thread, no allocation. A fault is a quality: a number that the sensor can't give is out_of_span,
// no current in a loop that has always some is open_circuit.
#pragma once

#include "core/quality.hpp"
#include "drivers/sensors/sensor_source.hpp"

namespace drumwatch {

struct Measured {
    double value = 0;  ///< means something where the quality is good
    Quality quality = Quality::good;
};

/// Degrees Celsius for a thermocouple or a resistance thermometer, the channel's number for a signal, turns a
/// minute for pulses in hertz; the number itself without a sensor. Not for what needs another reading as well
/// (needs_others).
Measured measure(const SensorSource& sensor, double number);

/// Whether one number is not enough: a cold junction that is a channel, a counter.
bool needs_others(const SensorSource& sensor);

/// emf is added, never degrees. `source.cold_junction` is not looked at.
Measured thermocouple_celsius(const ThermocoupleSource& source, double millivolts, double cold_junction_c);

/// Below an eighth of its low end (0.5 mA of 4 to 20; judgement, no source) a signal with a live zero is an
/// open loop; a signal from zero can't tell.
Measured signal_value(const SignalSource& source, double signal);

}  // namespace drumwatch

// How the box itself is: the engine is told, it never looks. Recorded like a frame.
#pragma once

#include <cstdint>
#include <string_view>

#include "core/tick.hpp"

namespace drumwatch {

enum class Health : std::uint8_t {
    bus_silent,  ///< index: bus
    record_failing,
    disk_low,
    clock_unsynchronised,
    sounder_failed,         ///< index: sounder
    simulated_clock_apart,  ///< a simulated station whose machine keeps another time
    gap_unknown,            ///< the recording was broken off for a time that nobody knows; said once
    clock_stepped,          ///< the wall clock was set by more than 2 s; over after a minute
    processor_hot,
    sounder_tested,       ///< index: sounder; bad: it did not pass. Says what happened once, no state
    probe_check_overdue,  ///< of the bean probe, by the interval that the site set
};
std::string_view name(Health health);

struct Observation {
    Tick tick;
    Health health = Health::bus_silent;
    std::uint8_t index = 0;
    bool bad = false;
    friend bool operator==(const Observation&, const Observation&) = default;
};

}  // namespace drumwatch

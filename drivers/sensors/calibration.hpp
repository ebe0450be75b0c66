// What a person found a channel to read where the true temperature was known, and what is made of it. PURE;
// any thread.
//
// One point shifts every reading; two to five make straight pieces between them. Outside the outermost points
// their own corrections hold on: a slope carried further would make a small mistake large.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "core/milli.hpp"

namespace drumwatch {

/// Both in the channel's unit (degrees Celsius for a temperature), thousandths.
struct CalibrationPoint {
    Milli reads_milli = 0;  ///< the channel without any correction
    Milli is_milli = 0;     ///< what was true
    friend bool operator==(const CalibrationPoint&, const CalibrationPoint&) = default;
};

/// By rising readings; empty: no correction.
using Calibration = std::vector<CalibrationPoint>;

inline constexpr std::size_t kMostCalibrationPoints = 5;

/// `calibration` must be one that calibration_refusal() lets pass.
Milli calibrated(const Calibration& calibration, Milli reads_milli);

/// Sorts by readings. Empty when it will do, else why not: too many points, two that are less than 5 degrees
/// apart, a correction beyond `most_milli`, readings that would no longer rise where the temperature does.
std::string calibration_refusal(Calibration& calibration, Milli most_milli);

}  // namespace drumwatch

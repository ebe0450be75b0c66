#include "drivers/sensors/calibration.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace drumwatch {

namespace {

// Nearer points would make a steep piece of what is only noise. Judgement.
constexpr Milli kLeastApart = 5'000;

Milli correction(const CalibrationPoint& point) { return point.is_milli - point.reads_milli; }

}  // namespace

Milli calibrated(const Calibration& calibration, Milli reads_milli) {
    if (calibration.empty()) return reads_milli;
    const auto above =
        std::find_if(calibration.begin(), calibration.end(),
                     [&](const CalibrationPoint& point) { return point.reads_milli > reads_milli; });
    if (above == calibration.begin()) return reads_milli + correction(calibration.front());
    const CalibrationPoint& low = *(above - 1);
    if (above == calibration.end()) return reads_milli + correction(low);
    const double share = static_cast<double>(reads_milli - low.reads_milli) /
                         static_cast<double>(above->reads_milli - low.reads_milli);
    const double shift = correction(low) + share * (correction(*above) - correction(low));
    return reads_milli + static_cast<Milli>(std::lround(shift));
}

std::string calibration_refusal(Calibration& calibration, Milli most_milli) {
    if (calibration.size() > kMostCalibrationPoints)
        return fmt::format("{} points are too many: one to {} would be right", calibration.size(),
                           kMostCalibrationPoints);
    std::sort(calibration.begin(), calibration.end(),
              [](const auto& a, const auto& b) { return a.reads_milli < b.reads_milli; });
    for (const CalibrationPoint& point : calibration) {
        if (std::abs(static_cast<double>(point.is_milli) - point.reads_milli) > most_milli)
            return fmt::format(
                "a reading of {:g} that should be {:g} is off by more than the {:g} that the configuration "
                "allows: "
                "look at the probe and its wiring first",
                from_milli(point.reads_milli), from_milli(point.is_milli), from_milli(most_milli));
    }
    for (std::size_t i = 1; i < calibration.size(); ++i) {
        const CalibrationPoint& low = calibration[i - 1];
        const CalibrationPoint& high = calibration[i];
        if (high.reads_milli - low.reads_milli < kLeastApart)
            return fmt::format(
                "the readings {:g} and {:g} lie too near each other: at least {:g} apart would be right",
                from_milli(low.reads_milli), from_milli(high.reads_milli), from_milli(kLeastApart));
        if (high.is_milli <= low.is_milli)
            return fmt::format(
                "{:g} is read where {:g} is true, and {:g} where {:g} is: the readings rise and the "
                "temperature does not",
                from_milli(low.reads_milli), from_milli(low.is_milli), from_milli(high.reads_milli),
                from_milli(high.is_milli));
    }
    return {};
}

}  // namespace drumwatch

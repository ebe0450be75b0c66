// The bean temperature of a roast file for what forecasts are held against: plain forecasts, the floor, the
// temperature at a mark. Read from the file itself, not from the engine, so that neither flatters the other.
// Pure but for allocation; any thread. Times in seconds since the first row, temperatures in degrees C.
#pragma once

#include <optional>
#include <vector>

#include "files/roast_csv.hpp"

namespace drumwatch {

struct BeanReading {
    double t_s = 0;
    double bean_c = 0;
};

/// The readings in order, without those further than 5 C from the median of the newest five (spikes). A
/// reading is left out or kept by itself and older ones: none after it is looked at.
std::vector<BeanReading> bean_readings(const RoastFile& file);

/// Through (t_s, bean_c) with a slope.
struct BeanLine {
    double t_s = 0;
    double bean_c = 0;
    double rise_c_s = 0;
    double at(double when_s) const { return bean_c + rise_c_s * (when_s - t_s); }
};

/// Least squares over the readings after `from_s`, up to and with `to_s`. Nothing with less than three
/// readings, or with readings over less than half of that time.
std::optional<BeanLine> bean_line(const std::vector<BeanReading>& readings, double from_s, double to_s);

/// What the beans' probe showed at that time: the line of the 5 s before and after.
std::optional<double> bean_near(const std::vector<BeanReading>& readings, double at_s);

/// Until when a roast is looked at, and from when.
struct RoastStretch {
    double charge_s = 0;
    double drop_s = 0;  ///< the file's end where it was not dropped
};

/// When the bean temperature first comes to `bean_c` after its lowest, as bean_near() shows it: what a
/// perfect forecast of the temperature would say. Past the drop the line of the last 30 s is carried on.
/// Nothing where that does not rise.
std::optional<double> reached_s(const std::vector<BeanReading>& readings, const RoastStretch& roast,
                                double bean_c);

}  // namespace drumwatch

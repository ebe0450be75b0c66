// How hot the box's processor and its surroundings on the board are, as the kernel says.
#pragma once

#include <optional>
#include <string>

namespace drumwatch {

/// Many small boards slow themselves down from here on (common practice, no source).
inline constexpr double kHot_c = 85;
inline constexpr double kCoolAgain_c = 80;

/// Of the hottest sensor, degrees C; nothing where the box has none. `sys`: where sysfs is mounted. Thread:
/// any but core: a sensor on a slow bus takes milliseconds.
std::optional<double> hottest_c(const std::string& sys);

}  // namespace drumwatch

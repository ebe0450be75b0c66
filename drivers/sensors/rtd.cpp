#include "drivers/sensors/rtd.hpp"

#include <algorithm>
#include <cmath>

namespace drumwatch {
namespace {

constexpr double kA = 3.9083e-3;
constexpr double kB = -5.775e-7;
constexpr double kC = -4.183e-12;
constexpr double kRounding = 0.005 / 100;

double ohms_at_zero(RtdType type) { return type == RtdType::pt100 ? 100 : 1000; }

constexpr double ratio_at(double t) {
    const double cold = t < 0 ? kC * (t - 100) * t * t * t : 0;
    return 1 + t * (kA + kB * t) + cold;
}

constexpr double slope_below_zero(double t) { return kA + 2 * kB * t + kC * t * t * (4 * t - 300); }

}  // namespace

std::optional<double> ohms_from_celsius(RtdType type, double celsius) {
    if (!(celsius >= kRtdLow_c && celsius <= kRtdHigh_c)) return std::nullopt;
    return ohms_at_zero(type) * ratio_at(celsius);
}

std::optional<double> celsius_from_ohms(RtdType type, double ohms) {
    constexpr double kLow = ratio_at(kRtdLow_c) - kRounding;
    constexpr double kHigh = ratio_at(kRtdHigh_c) + kRounding;
    const double ratio = ohms / ohms_at_zero(type);
    if (!(ratio >= kLow && ratio <= kHigh)) return std::nullopt;
    double celsius = (-kA + std::sqrt(kA * kA - 4 * kB * (1 - ratio))) / (2 * kB);
    // The root is off by 2.4 degrees at the cold end; each step leaves its square times 0.0005.
    for (int step = 0; ratio < 1 && step < 3; ++step)
        celsius -= (ratio_at(celsius) - ratio) / slope_below_zero(celsius);
    return std::clamp(celsius, kRtdLow_c, kRtdHigh_c);
}

}  // namespace drumwatch

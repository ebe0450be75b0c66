#include "drivers/sensors/tolerance_class.hpp"

#include <algorithm>
#include <cmath>

namespace drumwatch {
namespace {

struct WireClass {
    std::string_view types;
    int number;
    double low_c;
    double high_c;
    double fixed_c;
    double part;  ///< of |t|
};
constexpr std::array kWire{
    WireClass{"KN", 1, -40, 1000, 1.5, 0.004},  WireClass{"J", 1, -40, 750, 1.5, 0.004},
    WireClass{"E", 1, -40, 800, 1.5, 0.004},    WireClass{"T", 1, -40, 350, 0.5, 0.004},
    WireClass{"KN", 2, -40, 1200, 2.5, 0.0075}, WireClass{"J", 2, -40, 750, 2.5, 0.0075},
    WireClass{"E", 2, -40, 900, 2.5, 0.0075},   WireClass{"T", 2, -40, 350, 1.0, 0.0075},
    WireClass{"RS", 2, 0, 1600, 1.5, 0.0025},   WireClass{"B", 2, 600, 1700, 1.5, 0.0025},
    WireClass{"KEN", 3, -200, 40, 2.5, 0.015},  WireClass{"T", 3, -200, 40, 1.0, 0.015},
    WireClass{"B", 3, 600, 1700, 4.0, 0.005}};

bool within(double value, double low, double high) { return value >= low && value <= high; }

struct ResistorClass {
    double fixed_c;
    double part;  ///< of |t|
    std::array<double, 2> low_c;
    std::array<double, 2> high_c;
};
constexpr std::array<ResistorClass, 4> kResistor{{{0.10, 0.0017, {-50, 0}, {250, 150}},
                                                  {0.15, 0.002, {-100, -30}, {450, 300}},
                                                  {0.30, 0.005, {-196, -50}, {600, 500}},
                                                  {0.60, 0.01, {-196, -50}, {600, 600}}}};

}  // namespace

std::optional<double> thermocouple_tolerance(char type, int tolerance_class, double celsius) {
    // The one class that is neither a fixed value nor a part of t: 1 degree, from 1100 degrees on rising.
    if ((type == 'R' || type == 'S') && tolerance_class == 1) {
        if (!within(celsius, 0, 1600)) return std::nullopt;
        return 1 + std::max(0.0, 0.003 * (celsius - 1100));
    }
    const auto found = std::find_if(kWire.begin(), kWire.end(), [&](const WireClass& wire) {
        return wire.number == tolerance_class && wire.types.find(type) != std::string_view::npos;
    });
    if (found == kWire.end() || !within(celsius, found->low_c, found->high_c)) return std::nullopt;
    return std::max(found->fixed_c, found->part * std::fabs(celsius));
}

std::optional<double> rtd_tolerance(RtdClass tolerance_class, RtdBuild build, double celsius) {
    const ResistorClass& of = kResistor[static_cast<std::size_t>(tolerance_class)];
    const auto kind = static_cast<std::size_t>(build);
    if (!within(celsius, of.low_c[kind], of.high_c[kind])) return std::nullopt;
    return of.fixed_c + of.part * std::fabs(celsius);
}

}  // namespace drumwatch

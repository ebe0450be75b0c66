#include "roast/forecast/normal.hpp"

#include <algorithm>
#include <cmath>

namespace drumwatch {

double normal_share(double z) { return 0.5 * std::erfc(-z / std::sqrt(2.0)); }

double normal_quantile(double share) {
    const double tail = std::clamp(std::min(share, 1 - share), 1e-12, 0.5);
    const double t = std::sqrt(-2 * std::log(tail));
    const double above =
        t - (2.515517 + t * (0.802853 + t * 0.010328)) / (1 + t * (1.432788 + t * (0.189269 + t * 0.001308)));
    return share < 0.5 ? -above : above;
}

double quantile_above(double cut, double share) {
    const double tail = normal_share(-cut) * (1 - share);  // what lies above the quantile
    return std::max(-normal_quantile(tail), cut);
}

}  // namespace drumwatch

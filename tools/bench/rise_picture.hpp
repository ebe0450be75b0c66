// The picture of bench_rise: noise against lag, and the answer to a sudden change.
#pragma once

#include <string>
#include <vector>

namespace drumwatch {

struct RisePoint {
    double setting = 0;
    double noise_per_min = 0;
    double late_s = 0;
    double over = 0;
    double settled_s = 0;
    std::vector<double> answer;  ///< share of a change that is seen, each 0.25 s from 5 s before it on
};

struct RisePicture {
    RisePoint product;
    std::vector<RisePoint> line;      ///< settings: window in seconds
    std::vector<RisePoint> parabola;  ///< the same
    std::vector<RisePoint> filter;    ///< settings: wander of the slope
};

/// An SVG; false where it can't be written.
bool draw(const RisePicture& picture, const std::string& path);

}  // namespace drumwatch

// A reading of the bean temperature, and a straight line through some. PURE.
#pragma once

#include "core/tick.hpp"

namespace drumwatch {

struct BeanPoint {
    Tick at;
    double bean_c = 0;
};

/// A straight line through readings.
struct CurveLine {
    Tick from;
    double level_c = 0;  ///< at `from`
    double per_s = 0;
    double at(Tick when) const { return level_c + per_s * seconds_between(from, when); }
};

}  // namespace drumwatch

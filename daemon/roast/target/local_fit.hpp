// A smooth curve through readings that does not flatten what it smooths. PURE.
//
// At each time a parabola is laid through the readings near it, near ones counting more (tricube weights) and
// those far from it not at all (bisquare weights, three rounds): W. S. Cleveland, "Robust locally weighted
// regression and smoothing scatterplots", J. Am. Stat. Assoc. 74 (1979), from memory. A parabola keeps a
// valley's depth, where a mean or a line would fill it.
#pragma once

#include <optional>
#include <vector>

#include "core/target.hpp"

namespace drumwatch {

class LocalFit {
  public:
    /// `readings` in order of time.
    explicit LocalFit(std::vector<TargetPoint> readings);

    struct Value {
        double value = 0;
        double per_second = 0;
    };
    /// From the readings within `half_s`, or from a wider stretch where they are few; nothing where none are
    /// near.
    std::optional<Value> at(double t_s, double half_s) const;

  private:
    std::vector<TargetPoint> readings_;
};

/// How far the parabola reaches, in seconds, for a bean temperature `t_s` after its charge: short in the
/// fall, long in the slow part. Judgement, held against made roasts.
double bean_reach_s(double t_s);

}  // namespace drumwatch

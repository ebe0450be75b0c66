// Middle and spread that one bad value among five does not move. PURE.
#pragma once

#include <vector>

namespace drumwatch {

/// The middle value, the mean of the two middle ones of an even count; 0 of none.
double median(std::vector<double> values);

/// The standard deviation of normal values with the same median absolute deviation: 1.4826 times it, and for
/// less than ten values the factors of C. Croux and P. J. Rousseeuw, "Time-efficient algorithms for two
/// highly robust estimators of scale" (1992), from memory. 0 of fewer than two values.
double robust_spread(const std::vector<double>& values);

}  // namespace drumwatch

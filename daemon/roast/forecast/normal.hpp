// The normal distribution, also cut off from below. PURE.
#pragma once

namespace drumwatch {

/// Share below z.
double normal_share(double z);

/// Its inverse for 0 < share < 1, by the rational approximation 26.2.23 of Abramowitz and Stegun, "Handbook
/// of Mathematical Functions" (absolute error under 4.5e-4), from memory.
double normal_quantile(double share);

/// Quantile of a normal variable of mean 0 and spread 1 that is known to lie above `cut`.
double quantile_above(double cut, double share);

}  // namespace drumwatch

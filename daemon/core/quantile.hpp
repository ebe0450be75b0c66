// PURE but for allocation; any thread.
#pragma once

#include <optional>
#include <vector>

namespace drumwatch {

/// The value below which that share of the values lies, straight between the neighbours in order (the seventh
/// of the nine definitions of R. J. Hyndman and Y. Fan, "Sample quantiles in statistical packages", 1996,
/// from memory; Python's statistics.quantiles(method="inclusive")). Nothing of nothing.
std::optional<double> quantile(std::vector<double> values, double share);

}  // namespace drumwatch

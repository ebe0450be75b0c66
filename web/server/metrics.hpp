// /metrics in OpenMetrics 1.0 (specification of 2020, from memory): text, UTF-8, "# EOF" at the end. Pure.
#pragma once

#include <cstddef>
#include <optional>
#include <string>

#include "web/api.hpp"

namespace drumwatch {

inline constexpr const char* kOpenMetricsType = "application/openmetrics-text; version=1.0.0; charset=utf-8";

struct ServerCounts {
    std::size_t connections = 0;
    std::size_t streams = 0;
    std::optional<double> snapshot_age_s;  ///< since the newest publish, steady clock
};

/// `now` may hold nothing yet: then only the server's own numbers are there. A channel's value is left out
/// while it is not good; its quality is a state set.
std::string metrics_text(const Published& now, const StationFacts& facts, const ServerCounts& counts);

}  // namespace drumwatch

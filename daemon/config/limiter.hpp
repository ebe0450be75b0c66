// When the machine's independent high-limit control was tested last, and whether a test is due.
#pragma once

#include <optional>
#include <string>

#include "config/config.hpp"
#include "core/wall_time.hpp"

namespace drumwatch {

/// Whole months from the test to `now`, by UTC's calendar; nothing: no test is stated. `noted`: a later one
/// that was said on the page.
std::optional<int> months_since_test(const LimiterConfig& limiter, std::optional<WallTime> noted,
                                     WallTime now);

/// A sentence for a person where a test is due or none is stated; empty: neither.
std::string limiter_note(const LimiterConfig& limiter, WallTime now);

}  // namespace drumwatch

// What the running daemon says of itself: one GET to its own page, read only. Thread: any.
#pragma once

#include <string>

#include "config/config.hpp"
#include "core/result.hpp"

namespace drumwatch {

/// The body of the answer; an error after 3 s at most, or when the answer is not 200.
Result<std::string> ask_daemon(const WebConfig& web, const std::string& path);

}  // namespace drumwatch

// A line of the daemon's log with the watch's time. Any thread.
#pragma once

#include <spdlog/spdlog.h>

#include <string_view>

#include "core/tick.hpp"

namespace drumwatch {

inline void log_at(Tick now, std::string_view line) {
    spdlog::info("{:.2f} s: {}", static_cast<double>(now.ms) / 1000.0, line);
}

}  // namespace drumwatch

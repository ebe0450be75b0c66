// What is worth saying of buses that are right as they are.
#pragma once

#include <string>
#include <vector>

#include "config/config.hpp"

namespace drumwatch {

/// Sentences for the person who checks a configuration: polls that can't keep up with the tick.
std::vector<std::string> bus_notes(const Config& config);

}  // namespace drumwatch

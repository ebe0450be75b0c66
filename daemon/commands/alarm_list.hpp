// The alarms of a configuration as a table for people: which are on, at what, and which are off and why.
#pragma once

#include <string>

#include "config/config.hpp"

namespace drumwatch {

std::string alarm_list(const Config& config);

}  // namespace drumwatch

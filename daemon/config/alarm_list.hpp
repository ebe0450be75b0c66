// The alarms of a configuration as a table for people: which are on, at what, which are off and why, and how
// the priorities are shared out (benchmark: EEMUA 191 as quoted in secondary sources, from memory).
#pragma once

#include <string>

#include "config/config.hpp"

namespace drumwatch {

std::string alarm_list(const Config& config);

}  // namespace drumwatch

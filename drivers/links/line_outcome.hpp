// What one line of text gives the channels of a bus, as the outcome of a poll: for every driver whose device
// sends lines.
//
// Any thread. A fault of the line as a whole counts once, however many channels wait for it.
#pragma once

#include <string_view>

#include "drivers/driver.hpp"

namespace drumwatch {

/// Each channel of the bus must have its `text`.
PollOutcome outcome_of_line(const BusConfig& bus, std::string_view line);

}  // namespace drumwatch

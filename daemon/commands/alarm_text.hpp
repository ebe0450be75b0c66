// What `drumwatch alarms` prints. Pure but for the time zone; any thread.
#pragma once

#include <string>

#include "service/alarm_log.hpp"

namespace drumwatch {

/// For a person. `roast`: the one that it is about; 0: a period.
std::string alarm_report_text(const AlarmLog& log, const AlarmFigures& figures, std::uint64_t roast);
/// One line a change of an alarm in the period (RFC 4180), with a header.
std::string alarm_changes_csv(const AlarmLog& log);

}  // namespace drumwatch

// The figures of the alarm system as JSON, for the command and the API alike. Pure; any thread.
#pragma once

#include <string>

#include "service/alarm_log.hpp"

namespace drumwatch {

/// The object that README "Alarm figures" describes. `indent`: spaces a level; -1: all in one line.
std::string alarm_figures_json(const AlarmLog& log, const AlarmFigures& figures, int indent);

}  // namespace drumwatch

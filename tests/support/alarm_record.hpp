// A record with three days of alarms, for tests: what happened is listed in alarm_record.cpp, line by line.
// All invented (Saltmarsh Mill).
#pragma once

#include <string>

namespace drumwatch {

/// Makes it at `path`, which must not be there yet. Fails the program with a sentence where it can't.
void make_alarm_record(const std::string& path);

}  // namespace drumwatch

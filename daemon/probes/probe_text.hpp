// What ProbeLook saw, as a table for a person and as JSON for a program. PURE; any thread.
#pragma once

#include <string>

#include "probes/probe_look.hpp"

namespace drumwatch {

/// Lines that end with '\n'.
std::string probe_table(const ProbeView& view, const std::string& station);
/// One object without a line end; its keys are those of drumwatch(1).
std::string probe_json(const ProbeView& view, const std::string& station);

/// "0805", "41c8 0000" or the text between quotes; "-" where nothing came.
std::string raw_words(const RawValue& raw);

}  // namespace drumwatch

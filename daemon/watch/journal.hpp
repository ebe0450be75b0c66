// The journal: what the engine said, one line an event. The record keeps its parts; a rerun of the same watch
// must give the same lines, byte for byte. Pure; any thread.
//
// A line: tick, when it happened, kind, roast, then the codes and numbers as JSON, then the words; separated
// by tabs. Times are milliseconds since the watch began. Example:
//   61250  60980  milestone_set  7  {"value_milli":195200,...}  charge found at 60.98 s, 195.2 °C (detected)
#pragma once

#include <cstdint>
#include <string>

#include "core/event.hpp"

namespace drumwatch {

struct JournalEntry {
    std::int64_t tick_ms = 0;
    std::int64_t at_ms = 0;
    std::string kind;
    std::uint64_t roast = 0;
    std::string body;  ///< JSON: the codes and numbers
    std::string text;  ///< the same in words
};

JournalEntry journal_entry(const Event& event);
std::string journal_line(const JournalEntry& entry);  ///< without the end of line

}  // namespace drumwatch

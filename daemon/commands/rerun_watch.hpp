#pragma once

#include <cstdint>
#include <string>

namespace drumwatch {

/// Feeds a recorded watch again: prints its journal, or whether it agrees with the live one. Gives the exit
/// code: failed where they differ.
int rerun_watch(const std::string& record, std::uint64_t id, bool print_journal);

}  // namespace drumwatch

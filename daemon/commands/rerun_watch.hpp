#pragma once

#include <cstdint>
#include <string>

#include "core/result.hpp"
#include "watch/watch_file.hpp"

namespace drumwatch {

/// A watch out of a record.
Result<WatchFile> load_watch(const std::string& record, std::uint64_t id);
/// Whether the file is a watch as `export --watch` writes it, or a record; else a roast file is to be
/// expected.
enum class Holds : std::uint8_t { roast, watch, record };
Holds look_into(const std::string& path);
/// An exported watch.
Result<WatchFile> load_watch_file(const std::string& path);

/// Feeds it again: prints its journal, or whether it agrees with the live one. Gives the exit code: failed
/// where they differ.
int rerun_watch(const WatchFile& file, bool print_journal);

}  // namespace drumwatch

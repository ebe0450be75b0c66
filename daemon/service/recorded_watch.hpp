// A watch as the record keeps it, for feeding it again. Thread: the reader's.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/result.hpp"
#include "record/reader.hpp"
#include "watch/refeed.hpp"
#include "watch/watch_file.hpp"

namespace drumwatch {

/// Everything that went into the engine. The error says what is missing.
Result<RecordedWatch> read_watch(RecordReader& reader, std::uint64_t id);
/// What came out of it then: the journal's lines.
Result<std::vector<std::string>> read_journal(RecordReader& reader, std::uint64_t id);

/// Both, with the label of its beginning as it stands now.
Result<WatchFile> read_whole_watch(RecordReader& reader, std::uint64_t id);

}  // namespace drumwatch

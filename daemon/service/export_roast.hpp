// A recorded roast as a roast file. Thread: the reader's.
#pragma once

#include <cstdint>

#include "core/result.hpp"
#include "files/roast_csv.hpp"
#include "record/reader.hpp"

namespace drumwatch {

/// From a minute before charge to a minute after drop (or to the end of what is there), one row a tick in
/// which anything was fresh; values that were held over or not good are empty cells, marks stand in the row
/// of their instant.
Result<RoastFile> export_roast(RecordReader& reader, std::uint64_t roast_id);

}  // namespace drumwatch

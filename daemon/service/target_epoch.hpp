// Whether a target's temperatures are from before the bean probe was changed. PURE; any thread.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/wall_time.hpp"
#include "record/record_types.hpp"

namespace drumwatch {

/// What began the bean probe's present epoch; nothing where none was ever begun. `log`: oldest first.
std::optional<ProbeRow> bean_epoch(const std::vector<ProbeRow>& log);

/// Why the target should be confirmed; empty: it need not be, or somebody has done so since. `stored`: when
/// the record first had that version.
std::string epoch_doubt(const std::vector<ProbeRow>& log, const std::string& target, WallTime stored);

}  // namespace drumwatch

// The parts of a row that are stored as JSON text, written and read back exactly. Any text may come back from
// a file: what is not ours is an error in a sentence, never a crash. PURE; any thread.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "core/channel.hpp"
#include "core/milestone.hpp"
#include "core/result.hpp"
#include "core/verdict.hpp"
#include "record/record_types.hpp"

namespace drumwatch {

/// [{"name", "role", "unit", "span_low_milli", "span_high_milli", "max_age_ms"}, ...]; words as in core/.
std::string channels_to_json(const ChannelTable& channels);
Result<ChannelTable> channels_from_json(std::string_view text);

/// {"first_crack": {"at_ms", "bean_milli", "source": "mark"|"detected"}, ...}; what has not happened is
/// absent.
std::string milestones_to_json(const MilestoneSet& milestones);
Result<MilestoneSet> milestones_from_json(std::string_view text);

/// {"roast", "disposition", "reasons": [{"rule", "calls_for", "value", "limit", "extra", "index", "control",
/// "level"}, ...]}; empty text for none. A number that is not finite is stored as null and comes back as NaN.
std::string verdict_to_json(const std::optional<Verdict>& verdict);
Result<std::optional<Verdict>> verdict_from_json(std::string_view text);

}  // namespace drumwatch

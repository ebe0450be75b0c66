// Weight and colour join the verdict that was given, and can make `clear` a `hold`. PURE.
#pragma once

#include <optional>
#include <vector>

#include "core/late_facts.hpp"

namespace drumwatch {

/// Percent of the charge; nothing where a weight is missing or the roasted one is the larger.
std::optional<double> weight_loss_pct(const LateFacts& facts, const Target& target);

/// One for each fact that was given: where it lies, or why it can't be judged.
std::vector<LateFinding> late_findings(const LateFacts& facts, const Target& target);

/// The same verdict with what these facts call for in the place of what earlier ones called for: out of the
/// target's band calls for a cup, further out than the band is wide for holding it (judgement, no source).
/// Nothing is added where the target has no band.
Verdict with_late_facts(const Verdict& given, const LateFacts& facts, const Target& target);

}  // namespace drumwatch

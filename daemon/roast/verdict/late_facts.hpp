// What is known of a roast only after its drop, often an hour later: its weight and its colour. They join the
// verdict that was given, and can make `clear` a `hold`. PURE.
#pragma once

#include <optional>

#include "core/target.hpp"
#include "core/verdict.hpp"

namespace drumwatch {

struct LateFacts {
    std::optional<double> charge_kg;   ///< green coffee; the target's own where it was not weighed
    std::optional<double> roasted_kg;  ///< out of the cooling tray
    std::optional<double> colour;      ///< by the site's own meter and scale
};

/// Percent of the charge; nothing where a weight is missing or the roasted one is the larger.
std::optional<double> weight_loss_pct(const LateFacts& facts, const Target& target);

/// The same verdict with what these facts call for in the place of what earlier ones called for: out of the
/// target's band calls for a cup, further out than the band is wide for holding it (judgement, no source).
/// Nothing is added where the target has no band.
Verdict with_late_facts(const Verdict& given, const LateFacts& facts, const Target& target);

}  // namespace drumwatch

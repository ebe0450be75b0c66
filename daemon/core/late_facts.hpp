// What is known of a roast only after its drop, often an hour later: its weight and its colour. PURE.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "core/target.hpp"
#include "core/verdict.hpp"

namespace drumwatch {

struct LateFacts {
    std::optional<double> charge_kg;   ///< green coffee; the target's own where it was not weighed
    std::optional<double> roasted_kg;  ///< out of the cooling tray
    std::optional<double> colour;      ///< by the site's own meter and scale
};

/// How a late fact stands to the target.
enum class LateStand : std::uint8_t {
    within,
    out,
    no_band,         ///< the target states none
    charge_unknown,  ///< neither weighed nor stated by the target
    heavier,         ///< more came out than was charged
};

struct LateFinding {
    VerdictRule rule = VerdictRule::weight_loss;  ///< or colour
    LateStand stand = LateStand::within;
    double value = 0;  ///< percent of the charge, or the colour; heavier: the roasted weight, kg
    Band band;         ///< the target's; heavier: both are the charge, kg
};

/// "Weight loss is 14.8 %, within the target's 13.5 to 15.5 %." and the like.
std::string words(const LateFinding& finding);

}  // namespace drumwatch

// A station on a site (site.hpp) with its target, its probes and buses, and its people: what stays the same
// over its days. The target is made from earlier roasts of the same site as `target make` does it, and hands
// follow what it says. All invented.
#pragma once

#include <cstdint>

#include "engine/begin.hpp"
#include "support/made_roasts/batch.hpp"

namespace drumwatch {

/// Every other station and the like has it; all have bean and exhaust.
struct StationKit {
    bool controls_read = true;  ///< else each move is tapped in
    bool tray = false;
    bool ambient = false;
    bool oxidiser = false;
    bool carbon_monoxide = false;
    bool inlet = false;
    bool limits_set = false;  ///< the site has set limits for exhaust and inlet
    bool taps_charge = false;
    bool taps_drop = false;
};

struct MadeStation {
    std::uint64_t seed = 1;
    Site site;  ///< its target and moves are the loaded target's
    StationKit kit;
    EngineSettings settings;
};

/// Channels of the kit, and alarms on their defaults but for limits that only a site can know.
EngineSettings settings_of(const MadeStation& station);

inline constexpr double kPermit_c = 760;  ///< of the made oxidisers; invented

/// The same for a seed. Odd seeds are for tuning, even ones are held back.
MadeStation made_station(std::uint64_t seed);

/// The `number`th batch of the station's days, ten a day: the scatter of plan_of() in charge temperature,
/// coffee, gas, breaks and hands (5 % of the moves late, 2 % forgotten, 2 % to a wrong level), by an operator
/// who looks at the deviation each 20 s and trims the burner where half a degree and more is missing.
BatchPlan good_plan_of(const MadeStation& station, int number);
inline constexpr int kBatchesADay = 10;
/// One that went as it was meant to, without trims, on a day like the others: what a site makes its target
/// of.
BatchPlan source_plan_of(const MadeStation& station, int number);

}  // namespace drumwatch

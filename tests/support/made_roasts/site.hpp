// A machine, a coffee and the plan for it: what stays the same from batch to batch. All invented. The plan is
// scaled until first crack comes when a roaster would want it, as somebody did at the machine once.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/target.hpp"
#include "support/made_roasts/plant.hpp"
#include "support/random.hpp"

namespace drumwatch {

enum class MachineSize { sample_drum, shop_drum, hot_air };

struct Site {
    MachineSize size = MachineSize::shop_drum;
    PlantConstants plant;
    double crack_c = 198;         ///< mean bean temperature at which this coffee cracks
    double crack_spread_c = 1.3;  ///< from batch to batch
    double charge_c = 200;        ///< probe before charge
    double first_burner = 0.7;
    double first_airflow = 0.45;
    std::vector<PlannedMove> moves;  ///< levels in percent
    double drop_after_crack_s = 90;
    Target target;  ///< approved; of an undisturbed batch with perfect hands
};

/// The same for a seed. `held`: planned for a drum that is held at the charge's temperature (BatchPlan).
Site made_site(std::uint64_t seed, bool held = false);

/// The drum before the charge: warm, as long preheating leaves it.
PlantState preheated(const Site& site);

}  // namespace drumwatch

// Files that mislead: opened doors, swings of the preheat, charges given up, files that start late, dead
// probes ... each with the truth beside it, for charge, turning point and drop. The curves are drawn by a
// plain machine of its own (a bed that warms towards its heat, a probe that lags behind what it feels), not
// by plant.hpp, and vary widely: lag of the probe 8 to 40 s, charge at 150 to 230 degrees, turning point at
// 25 to 130 s, an emptied drum whose probe falls fast, slowly, or rises; 1, 2 and 4 Hz, noise, spikes, lost
// readings, steps of 0.1 degree or of one degree Fahrenheit. All judgement, no source.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

#include "files/roast_csv.hpp"

namespace drumwatch {

enum class Awkward : std::uint8_t {
    none,
    door_before_charge,
    preheat_swing,
    charge_given_up,        ///< let out again before the turning point; a proper charge follows
    only_given_up,          ///< no roast at all
    charged_while_cooling,  ///< the drum was emptied shortly before
    charged_again,          ///< the next batch follows the drop soon
    two_portions,           ///< half of the coffee comes some seconds later
    door_in_roast,
    samples,     ///< spoons of beans drawn at the probe
    dead_probe,  ///< no reading, zero, full scale or a frozen one, away from milestones
    gap_of_two_minutes,
    starts_after_charge,
    starts_in_roast,
    emptied_rebound,  ///< the emptied drum is closed, warms up and waits
    idle_all_day,     ///< swings and doors, and no charge at all
};
inline constexpr int kAwkwardKinds = 16;
std::string_view name(Awkward kind);

/// Seconds since the first row; nothing where it is not in the file.
struct AwkwardTruth {
    std::optional<double> charge_s;
    std::optional<double> turning_point_s;
    std::optional<double> drop_s;
    std::optional<double> next_charge_s;
};

struct AwkwardFile {
    RoastFile file;  ///< bean only, no marks
    AwkwardTruth truth;
};

/// The same for a kind and a seed. Odd seeds are for tuning, even ones are held back.
AwkwardFile awkward_file(Awkward kind, std::uint64_t seed);

}  // namespace drumwatch

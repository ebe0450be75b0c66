// One batch on a site (site.hpp) as its sensors and its operator leave it in a file, and the truth beside it.
// What varies: moisture, gas, burner and charge temperature, cold starts and long breaks, the temperature of
// first crack (which also drifts from batch to batch), late, early, wrong, forgotten and additional moves,
// late marks, tick rates of 1, 2 and 4 Hz with jitter, noise, steps of 0.1 degree or of one degree
// Fahrenheit, spikes, lost readings and short open circuits.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "files/roast_csv.hpp"
#include "support/made_roasts/site.hpp"

namespace drumwatch {

/// What goes wrong with machine or hands; seconds since charge.
struct BatchTrouble {
    int late_move = -1;  ///< index into the site's moves: made so much later
    double late_by_s = 0;
    double heat_from_s = 1e9;  ///< from here the flame gives another share of what the burner is set to ...
    double heat_over_s = 20;   ///< ... which it comes to over this time
    double heat_share = 1;
    double charge_share = 1;    ///< of the planned mass; a half empty drum has the machine's heat for less
    double alone_from_s = 1e9;  ///< nobody trims any more
};

/// How a batch goes; the first values are those of an undisturbed batch with perfect hands.
struct BatchPlan {
    std::uint64_t seed = 1;
    double crack_shift_c = 0;
    double moisture_shift = 0;
    double gas = 1;
    double inlet_shift_c = 0;
    double charge_shift_c = 0;
    double metal_shift_c = 0;  ///< below zero: a cold start or a long break
    double green_c = 22;
    double hands_s = 0;     ///< spread of the moves' times
    double late_moves = 0;  ///< share that come 10 to 60 s late
    double wrong_levels = 0;
    double missed_moves = 0;
    double corrections = 0;  ///< share of looks in which the operator trims the burner back to the target
    double look_every_s = 30;
    double trim_from_c = 1.5;  ///< less is left alone
    double trim_gain = 2;      ///< % of burner for each degree
    double look_ahead = 0;    ///< so many times what the deviation has changed since the look before is added
    bool trims_back = false;  ///< what is near enough is given its planned level again
    double mark_delay_s = 0;
    double mark_spread_s = 0;
    double drop_shift_s = 0;
    double drop_at_c = 1e9;   ///< hotter it never gets
    double give_up_s = 1500;  ///< emptied then at the latest
    double step_s = 0.25;
    double jitter_s = 0;
    double noise_c = 0;
    double quantum_c = 0.001;
    double spikes_per_min = 0;
    double lost = 0;  ///< share of readings
    double idle_s = 90;
    bool held = false;  ///< the idle drum is held where it is; else it warms up at the first level
    double trim_from_s = 150;
    double after_s = 60;
    BatchTrouble trouble;
};

/// Times since the charge; temperatures of the probe without noise.
struct BatchTruth {
    double charge_s = 0;  ///< since the first row; all others since the charge
    double turning_point_s = 0;
    double turning_point_c = 0;
    double crack_s = 0;
    double crack_c = 0;
    double drop_s = 0;
    double tapped_s = 0;  ///< when the operator marked first crack; 0: not marked
    struct Move {
        Control control = Control::burner;
        double at_s = 0;
        double level = 0;  ///< %
        int planned = -1;  ///< index into the site's moves; -1: additional
    };
    std::vector<Move> moves;
    std::vector<double> probe_c;  ///< one a second from the charge on, without noise
};

struct MadeBatch {
    RoastFile file;  ///< bean, exhaust, burner, airflow; marked first crack and, if asked for, nothing else
    BatchTruth truth;
};

MadeBatch made_batch(const Site& site, const BatchPlan& plan);

/// The `number`th batch of a day's work on a site: the plan that chance makes for it.
BatchPlan plan_of(const Site& site, std::uint64_t seed, int number);

}  // namespace drumwatch

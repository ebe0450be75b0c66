// How well the follower, the moves and the verdict agree with the truth of made batches (kept_truth.hpp):
// batches with wider disturbances than a good site has, so that clear, taste and hold are each common.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "rerun/rerun.hpp"
#include "support/made_roasts/kept_truth.hpp"

namespace drumwatch {

/// The `number`th batch of a site where much goes wrong; every third goes as plan_of() makes it.
BatchPlan rough_plan_of(const Site& site, std::uint64_t seed, int number);

struct FanFigures {
    int points = 0;
    int held = 0;   ///< the truth came to lie within the fan
    int above = 0;  ///< or above it
    double width_c = 0;
    double held_share() const { return points ? static_cast<double>(held) / points : 0; }
};

struct KeptFigures {
    int batches = 0;
    int not_seen = 0;  ///< no charge or no drop found: in no other figure

    int moves = 0;
    int moves_right =
        0;  ///< judged as the truth has it (a close one: or as its neighbour), and timed within 2 s
    int unclear_moves = 0;  ///< nobody could say which was meant: in neither figure
    int extras = 0;
    int extras_right = 0;
    std::array<std::array<int, 7>, 7> move_table{};  ///< [truth][judged]

    int close = 0;                                      ///< verdicts too close to a limit
    std::array<std::array<int, 4>, 4> verdict_table{};  ///< [truth][given], close ones left out
    int without_reason = 0;                             ///< tastes and holds that name none
    int gaps = 0;        ///< batches in which 20 to 120 s of readings are missing
    int gaps_right = 0;  ///< unjudged or hold
    std::vector<double> end_off_c;

    int clear = 0;  ///< truly clear, close ones too
    int clear_drift = 0;
    int clear_alarms = 0;
    int far = 0;  ///< truly far outside, not close
    int far_drift = 0;

    FanFigures fan_30;
    FanFigures fan_60;
    int left = 0;             ///< times the corridor was left after half a minute within
    int left_said = 0;        ///< of which the prompt had come 5 to 60 s before
    double said_ahead_s = 0;  ///< sum of how long before
    int prompts = 0;          ///< leaving the corridor, each stretch once
    int prompts_vain = 0;     ///< after which it was not left within 75 s

    double right_share() const;  ///< of the verdicts
    int given(Disposition truth, Disposition said) const {
        return verdict_table[static_cast<std::size_t>(truth)][static_cast<std::size_t>(said)];
    }
};

/// One row a look, for finding what the deviation does next.
struct FutureRow {
    std::uint64_t site = 0;
    double t_s = 0;
    double deviation_c = 0;
    double rise_deviation_per_min = 0;
    double corridor_c = 0;
    double target_rise_per_min = 0;
    double ahead_s = 0;
    double burner_more = 0;  ///< burner now minus what the plan has now, %
    double airflow_more = 0;
    double later_c[6] = {};  ///< true deviation 15 to 90 s on
};

/// Batches 0 to `batches` - 1 of the site of this seed.
void measure_site(std::uint64_t seed, int batches, KeptFigures& figures,
                  std::vector<FutureRow>* rows = nullptr);

}  // namespace drumwatch

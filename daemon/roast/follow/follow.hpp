// The follower: where the roast is against its target now, and what may come. PURE functions of plain
// numbers. Signs: deviation is measured minus target; ahead is positive, behind negative.
#pragma once

#include <optional>

#include "core/fixed_list.hpp"
#include "core/snapshot.hpp"
#include "roast/target/target_curve.hpp"

namespace drumwatch {

struct BeanNow {
    double elapsed_s = 0;            ///< since charge
    std::optional<double> smooth_c;  ///< nothing while the reading is not good
    std::optional<double> rise_per_min;
};

/// Deviation, ahead or behind, corridor, and when the middle of the fan would leave the corridor.
/// `outside_for_s` is the caller's memory (OutsideTimer), passed through.
FollowView follow(const TargetCurve& target, const BeanNow& now, double outside_for_s);

/// Deviation 15 to 90 s on, as a spread that holds 80 of 100 futures: the present difference of the rates
/// carries on and dies away with a time constant of a minute, while the doubt grows. Judgement, to be
/// measured (backtest).
FixedList<FanPoint, 8> fan(const FollowView& now);

/// Seconds since charge at which the roast has the temperature `bean_c` by the target, moved by how far it is
/// ahead.
std::optional<double> expected_time_at(const TargetCurve& target, double bean_c,
                                       std::optional<double> ahead_s);

}  // namespace drumwatch

// What a target says about itself that a person should look at, as codes with numbers; words in
// target_words.hpp. What makes a target unusable is refused where it is read and is no doubt.
#pragma once

#include <cstdint>

#include "core/milestone.hpp"

namespace drumwatch {

enum class TargetDoubtKind : std::uint8_t {
    trial,
    retired,
    seeded,              ///< by a sample roast of another machine
    few_points,          ///< value: how many
    starts_late,         ///< value: first point, s
    turning_point_time,  ///< s
    turning_point_bean,  ///< degrees C
    falls,               ///< point; value: degrees C a minute
    rises_fast,          ///< point; value: degrees C a minute
    no_first_crack,
    first_crack_time,  ///< s
    off_the_curve,     ///< milestone; value: its temperature; low: the curve's
    drop_bean,         ///< degrees C
    move_needs_crack,  ///< move: waits for a first crack that the target does not have
    move_after_end,    ///< move; value: when, s; high: the curve's end
};

struct TargetDoubt {
    TargetDoubtKind kind = TargetDoubtKind::trial;
    int index = -1;  ///< of the point or the move
    Milestone milestone = Milestone::first_crack;
    double value = 0;
    double low = 0;  ///< believable is low to high
    double high = 0;
};

}  // namespace drumwatch

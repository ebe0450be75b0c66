// What was decided while a target was made from roasts, as codes with numbers; words in target_words.hpp.
#pragma once

#include <cstdint>

#include "core/target.hpp"

namespace drumwatch {

enum class MakingNoteKind : std::uint8_t {
    roast_shifted,     ///< roast; value: seconds that its charge was moved by
    roast_left_out,    ///< roast; value: usual distance from the others, degrees C; limit
    curve_of_two,      ///< two roasts can't outvote each other
    mark_missing,      ///< milestone; count of `of` roasts carry it
    mark_left_out,     ///< milestone: its middle is out of order with the others
    no_control,        ///< control: no roast records it
    unit_differs,      ///< roast, control: recorded in another unit than in the first roast
    move_by_trigger,   ///< move; value: spread by its trigger, s; limit: spread by time, s
    move_outvoted,     ///< control; value: at s; other: level; count of `of` roasts
    drop_by_trigger,   ///< value: spread by its trigger, s; limit: spread of the usual one, s
    corridor_widened,  ///< value: suggested, degrees C; limit: the site's
    corridor_capped,   ///< value: what the spread would ask for; limit: what was taken
};

struct MakingNote {
    MakingNoteKind kind = MakingNoteKind::roast_shifted;
    int roast = -1;  ///< index of the roasts as they were given
    int move = -1;   ///< index of the target's moves
    Control control = Control::burner;
    Milestone milestone = Milestone::charge;
    double value = 0;
    double other = 0;
    double limit = 0;
    int count = 0;
    int of = 0;
};

}  // namespace drumwatch

// What is said of a batch at drop, with its reasons as codes and numbers; their words are made at the edge
// (words.hpp).
#pragma once

#include <cstdint>
#include <string_view>

#include "core/fixed_list.hpp"
#include "core/milestone.hpp"

namespace drumwatch {

/// `clear`: the curve was kept, no tasting called for (it says nothing of the green coffee or of the probe).
enum class Disposition : std::uint8_t { clear, taste, hold, unjudged };
std::string_view name(Disposition disposition);

enum class VerdictRule : std::uint8_t {
    far_outside,  ///< value: longest stretch beyond the hold limit, s; limit: s; extra: largest deviation, C
    end_temperature,  ///< value: end minus target's end, C; limit: C
    outside,      ///< value: longest stretch outside the corridor, s; limit: s; extra: largest deviation, C
    move_off,     ///< value: error, s (positive late); limit: s; index: planned move
    move_missed,  ///< index: planned move; limit: s
    move_wrong_level,  ///< value: made level; limit: planned level; index: planned move
    no_target,
    trial_target,  ///< value: its TargetStatus, which is not approved
    no_charge,
    no_drop,
    readings_missing,     ///< value: longest stretch without a good reading, s; limit: s
    interrupted,          ///< recording was broken during the roast
    extra_move,           ///< listed, never penalised; value: level
    first_of_day,         ///< named beside a reason, never an excuse; value: minutes since the drop before
    long_break,           ///< the same
    moves_unknown,        ///< nothing shows what was done with a control; value: its planned moves
    weight_loss,          ///< value: percent of the charge; limit: the band's near end; extra: its far end
    colour,               ///< the same, by the site's own scale
    end_unread,           ///< value: seconds before the drop without a good reading
    probe_check_overdue,  ///< the site asks for checks of the bean probe, and one is overdue
};
std::string_view name(VerdictRule rule);

struct Reason {
    VerdictRule rule = VerdictRule::no_target;
    Disposition calls_for = Disposition::clear;  ///< what this reason alone would give
    double value = 0;
    double limit = 0;
    double extra = 0;
    std::int16_t index = -1;  ///< planned move, from 0, or -1
    Control control = Control::burner;
    double level = 0;  ///< planned level of that move
    LevelUnit unit = LevelUnit::percent;
};

struct Verdict {
    std::uint64_t roast = 0;
    Disposition disposition = Disposition::unjudged;
    FixedList<Reason, 16> reasons;  ///< the gravest first
};

}  // namespace drumwatch

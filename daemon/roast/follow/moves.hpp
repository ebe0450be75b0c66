// Planned against made moves. PURE. Times in seconds since charge; a move's error is positive when late.
#pragma once

#include <cstdint>
#include <optional>

#include "core/fixed_list.hpp"
#include "core/move.hpp"
#include "core/reading.hpp"
#include "core/tick.hpp"

namespace drumwatch {

inline constexpr std::size_t kMaxMoves = 64;

struct MadeMove {
    Control control = Control::burner;
    double level = 0;
    Tick at;
    bool tapped = false;  ///< by a person; else read from the machine
};
using MadeMoves = FixedList<MadeMove, kMaxMoves>;

/// Finds moves in a control's channel: a new level that has stood still for 2 s, dated by its first change. A
/// knob turned in several steps is one move. One detector a control.
class MoveDetector {
  public:
    explicit MoveDetector(Control control) : control_(control) {}
    std::optional<MadeMove> add(const Sample& sample, Tick now);
    std::optional<double> level() const { return level_; }

  private:
    Control control_;
    std::optional<double> level_;    ///< settled
    std::optional<double> pending_;  ///< on its way
    Tick since_;                     ///< first change of what is pending
    Tick changed_;                   ///< its newest change
};

/// When each planned move's trigger came, or is expected to come. Index: the target's moves.
struct TriggerTime {
    std::optional<double> at_s;
    bool has_come = false;
    bool unseen = false;  ///< no reading now: whether it has come can't be known
};
using TriggerTimes = FixedList<TriggerTime, kMaxMoves>;

struct MoveRules {
    double on_time_s = 10;    ///< within this it is on time (Tolerance::move_s)
    double level_within = 2;  ///< units of the control
    double missed_after_s = 90;
    double part_of_charge_s = 5;  ///< an unplanned move so soon after the charge belongs to the charging
    double part_of_drop_s = 5;    ///< an unplanned move this near before the drop belongs to the dropping
};

/// Matches made to planned moves one to one, in order, each control by itself, and judges each: the right
/// level about in time before a wrong level about in time before the right level far from its time. What was
/// set before the charge, or with the drop, is no extra move. A planned move to the level that stands already
/// must stand in `made`, at its trigger time. `over` says that the roast has ended: planned moves whose
/// trigger came are then missed, others stay `waiting` (never reached, not judged).
FixedList<MoveView, kMaxMoves> match_moves(const Target& target, const TriggerTimes& triggers,
                                           const MadeMoves& made, Tick charge, double now_s, bool over,
                                           const MoveRules& rules);

}  // namespace drumwatch

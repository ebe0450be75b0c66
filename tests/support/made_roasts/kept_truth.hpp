// What is true of how a made batch kept its curve: moves and verdict from the probe without noise and from
// what the hands did, by the rules of README "Verdict" written down a second time, with loops of their own.
// Nothing of the daemon but its plain data.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/move.hpp"
#include "core/verdict.hpp"
#include "support/made_roasts/batch.hpp"

namespace drumwatch {

/// A stretch in which the probe gave nothing; seconds since charge.
struct Gap {
    double from_s = 0;
    double for_s = 0;
};
void cut_out(MadeBatch& made, const Gap& gap);

struct TrueMove {
    Control control = Control::burner;
    int planned = -1;
    double level = 0;              ///< as made
    std::optional<double> made_s;  ///< since charge
    std::optional<double> due_s;   ///< nothing: its trigger never came, or nobody can know when
    MoveJudgement judged = MoveJudgement::waiting;
    bool close = false;  ///< within 2 s of another judgement
    /// Nobody could say which move was meant: two turns of a knob within 3.5 s, an unplanned move as near to
    /// the plan as its own, or a hand on a knob that stood there already.
    bool unclear = false;
};
/// Planned ones in their order, then the others that changed something. `on_time_s`: the tolerance.
std::vector<TrueMove> true_moves(const Site& site, const BatchTruth& truth, double on_time_s);

struct TrueVerdict {
    Disposition disposition = Disposition::clear;
    bool close = false;  ///< another one if each limit were 0.15 degrees or 1.5 s (moves: 2 s) elsewhere
    double far_s = 0;    ///< longest stretch far outside
    double end_c = 0;    ///< end temperature of the roast, mean of the last 5 s before drop
};
/// `gap`: what the judge could not see; a batch with more than 15 s of it in the judged stretch is unjudged
/// unless the rest calls for hold.
TrueVerdict true_verdict(const Site& site, const BatchTruth& truth, const Gap& gap = {});

double true_target_c(const Target& target, double t_s);
double true_corridor_c(const Target& target, double least_c, double t_s);
/// Of the probe without noise; t_s within the roast.
double true_bean_c(const BatchTruth& truth, double t_s);

}  // namespace drumwatch

// The verdict: how the curve was kept, and what that calls for. PURE: the same trace, marks and moves give
// the same verdict, so it can be given again when a late fact arrives. Rules: README "Verdict".
#pragma once

#include <array>
#include <cstdint>
#include <optional>

#include "core/snapshot.hpp"
#include "core/verdict.hpp"
#include "roast/follow/moves.hpp"
#include "roast/target/target_curve.hpp"

namespace drumwatch {

struct JudgedBatch {
    std::uint64_t roast = 0;
    Tick charge;
    Tick drop;
    const TargetCurve* target = nullptr;  ///< null: none loaded
    const FixedList<MoveView, kMaxMoves>* moves = nullptr;
    std::array<bool, kControls> control_known{true, true};  ///< a level was read or a move made in this batch
    bool interrupted = false;
    std::optional<double> idle_s;  ///< from the drop before to this charge, where it is known
    bool probe_check_overdue = false;
    bool judge_trial = false;  ///< a rerun judges against a trial target too, and says so
};

/// The gravest reason stands first; `unjudged` only where nothing graver is known.
Verdict judge(const JudgedBatch& batch, const DeviationSummary& kept);

}  // namespace drumwatch

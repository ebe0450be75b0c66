// How much more or less the burner gives than the target's plan gave at the same bean temperature, and how
// that will go on. PURE; one thread; no allocation.
//
// A control's level acts on the rate of rise in proportion (its logarithm is what counts), after a lag of the
// first order: burner, metal and probe together (30 s; judgement, measured on made roasts). The plan starts
// from the level that the roast was charged with, since a target does not state one.
#pragma once

#include <optional>

#include "core/fixed_list.hpp"
#include "core/tick.hpp"
#include "roast/follow/moves.hpp"
#include "roast/target/target_curve.hpp"

namespace drumwatch {

class BurnerLead {
  public:
    /// A roast begins, or its target changes (null: nothing is planned).
    void start(const TargetCurve* target);

    /// Whether add() would compare with the target now: once a second.
    bool compares(Tick now) const;
    /// One tick: the settled level, if any is known, and the target's time of the present temperature, if it
    /// has one; it is looked at only where compares(now).
    void add(Tick now, std::optional<double> level, std::optional<double> target_s);

    /// A planned move that is still to be made.
    struct Pending {
        double in_s = 0;
        double level = 0;
    };
    using PendingMoves = FixedList<Pending, kMaxMoves>;

    /// From now on: how the rate of rise will differ from the target's at the same temperature, against how
    /// it differs now, as a logarithm.
    class Path {
      public:
        /// Mean of the stretch of kStep_s that comes next. Most of the difference fades, a part stays for as
        /// long as the caller asks: a smaller one where hands trim, since they bring a roast back.
        double next();

      private:
        friend class BurnerLead;
        const BurnerLead* lead_ = nullptr;
        const PendingMoves* pending_ = nullptr;
        std::size_t next_pending_ = 0;
        std::size_t next_planned_ = 0;
        double in_s_ = 0;
        double target_s_ = 0;
        double level_ = 0;  ///< logarithms
        double felt_ = 0;
        double planned_level_ = 0;
        double planned_felt_ = 0;
        double trusted_ = 1;
        double now_ = 0;   ///< the present excess
        double told_ = 0;  ///< what the present rate of rise tells of it, and what will soon be over
        double stays_ = 0;
    };
    static constexpr double kStep_s = 10;
    /// Nothing while the burner is not known. `pending` in order of time; it must outlive the path.
    /// `trimmed`: somebody has moved the burner off the plan in this roast.
    std::optional<Path> path(double target_s, const PendingMoves& pending, bool trimmed) const;

  private:
    struct Planned {
        double at_s = 0;   ///< target time
        double level = 0;  ///< logarithm
    };
    double planned_level(double target_s) const;
    double planned_felt(double target_s) const;

    FixedList<Planned, kMaxMoves> planned_;
    std::optional<double> first_;  ///< logarithm of the level that the roast was charged with
    double level_ = 0;
    double felt_ = 0;
    double excess_ = 0;             ///< felt over planned, over the last quarter of a minute
    double lasting_ = 0;            ///< that of it which has lasted
    std::optional<Tick> compared_;  ///< when last ...
    double compared_at_s_ = 0;      ///< ... at which target time, and what was planned to be felt there
    double planned_felt_ = 0;
    std::optional<double> as_read_;
    Tick newest_;
};

}  // namespace drumwatch

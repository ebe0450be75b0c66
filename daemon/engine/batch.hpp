// One batch from charge to drop, and afterwards as long as its verdict may still change: its trace,
// milestones, moves and what the rooms of roast/ say of them. An object with its own life, not a mode of the
// machine. PURE; one thread.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>

#include "core/lessons.hpp"
#include "core/snapshot.hpp"
#include "roast/follow/follow.hpp"
#include "roast/follow/moves.hpp"
#include "roast/forecast/forecast.hpp"
#include "roast/milestones/milestones.hpp"
#include "roast/signal/signal.hpp"
#include "roast/target/target_curve.hpp"
#include "roast/verdict/deviation_sum.hpp"
#include "roast/verdict/trace.hpp"
#include "roast/verdict/verdict.hpp"

namespace drumwatch {

using CurvePtr = std::shared_ptr<const TargetCurve>;

/// The bean channel at one tick, after validation and smoothing.
struct BeanTick {
    Tick tick;
    bool fresh = false;
    Quality quality = Quality::never_read;
    double raw_c = 0;  ///< means something only if has_value(quality)
    std::optional<Smoother::Line> line;
};

/// Levels of the controls at one tick, settled; nothing where no channel reads the control.
using ControlLevels = std::array<std::optional<double>, kControls>;

class Batch {
  public:
    /// Memory is taken once; start() begins anew.
    Batch() = default;
    /// `idle_s`: from the drop before to this charge, where it is known.
    void start(std::uint64_t id, MilestoneAt charge, CurvePtr target, const Lessons& lessons,
               std::optional<double> idle_s);

    /// A roast that was in the drum before the first reading: nothing that counts seconds from the charge is
    /// said of it until a person marks that.
    void start_unseen(std::uint64_t id, Tick first, CurvePtr target, const Lessons& lessons);

    std::uint64_t id() const { return id_; }
    /// What seconds are counted from: the first reading where the charge was not seen.
    Tick charge() const { return counted_from_; }
    const MilestoneSet& milestones() const { return milestones_; }
    const CurvePtr& target() const { return target_; }
    void set_target(CurvePtr target, const Lessons& lessons);

    /// What alarms say of this roast: then a curve that breaks away that way is no emptied drum.
    struct Alarmed {
        bool runs_away = false;  ///< the rise: no drop upwards
        bool stalls = false;     ///< no drop downwards that is not as deep as an emptied drum's
    };
    /// One tick in the drum. Returns what was found now: at most a turning point, yellow and crack estimate,
    /// and a drop.
    FixedList<Milestone, 4> step(const BeanTick& bean, const ControlLevels& levels, Alarmed alarmed);
    /// The charge looks like none, now: degrees by which the reading came back within
    /// ChargeDoubt::kWithin_ms. Never of a marked charge.
    std::optional<double> doubted_charge() const {
        const auto& charge = milestones_[0];
        return charge && charge->source == MarkSource::detected ? doubted_ : std::nullopt;
    }
    /// False: it has kMaxMoves already.
    bool add_move(const MadeMove& move) {
        matched_at_.reset();
        if (move.tapped) match_at_once();
        return made_.push_back(move);
    }
    /// The move that was tapped in for about that time was made at another; nothing: there is none.
    std::optional<MadeMove> retime_move(Control control, Tick was, Tick at);

    /// Whether a person's mark at that time would stand in the order of a roast. Estimates of yellow and
    /// first crack give way to any mark.
    bool fits(Milestone milestone, Tick at) const;
    /// A person's mark; its bean temperature is what was read within 3 s of it, or nothing.
    void mark(Milestone milestone, Tick at);
    /// What the curve says: false where it had said so before, or where a person's mark stands.
    bool detect(Milestone milestone, const Found& found);
    /// Yellow and cracks come after the turning point, which every curve that is read shows by then.
    bool too_early(Milestone milestone, Tick at) const;
    /// A person marked the charge, and the curve has not shown it yet.
    bool awaits_charge(Tick now) const;
    /// It has. Where that is well after the mark, what was seen in between is forgotten.
    void detect_charge(const Found& found);
    /// Mark minus detection, where both are known and far apart.
    std::optional<double> disagreement_s(Milestone milestone) const;
    /// A mark: back to what was detected, or to nothing. A detection: to nothing. Not for charge.
    void withdraw(Milestone milestone);
    void withdraw_charge_mark() {
        milestones_[0] = detected_[0];
        counted_from_ = milestones_[0]->at;
        matched_at_.reset();
    }  ///< only where a detection stands behind it
    const std::optional<MilestoneAt>& detected(Milestone m) const {
        return detected_[static_cast<std::size_t>(m)];
    }
    /// Takes the batch as dropped (its drop milestone stands) and gives its verdict.
    VerdictView finish(bool judge_trial, bool probe_check_overdue);
    /// After a drop, while it may be doubted: true once where the curve goes on as before. A drop that a
    /// person marked is never doubted.
    bool doubt_drop(const BeanTick& bean);
    /// It was none: the drop is looked for anew.
    void take_back_drop(Tick now);
    /// Before `now` lies a gap of unknown length: nothing that counts seconds from the charge is said any
    /// more.
    void lose_time(Tick now);

    RoastView roast_view(Tick now) const;
    const std::optional<FollowView>& follow_view() const { return follow_; }
    const FixedList<MoveView, kMaxMoves>& moves() const { return moves_; }
    /// Another number: moves() may be other ones. Never the same for another batch or target.
    std::uint64_t matchings() const { return matchings_; }
    std::optional<NextMoveView> next_move(Tick now) const;
    const CrackForecast& forecast() const { return forecast_; }
    std::optional<DropView> drop_view(Tick now) const;
    const CrackExpectation& crack() const { return crack_; }
    std::optional<double> smooth_c() const { return smooth_c_; }
    /// This tick has had much to do: what can wait, should.
    bool busy() const { return busy_; }
    std::optional<double> rise_per_min() const { return rise_per_min_; }

  private:
    std::optional<MilestoneAt>& at(Milestone m) { return milestones_[static_cast<std::size_t>(m)]; }
    const std::optional<MilestoneAt>& at(Milestone m) const {
        return milestones_[static_cast<std::size_t>(m)];
    }
    double since_charge_s(Tick tick) const { return seconds_between(charge(), tick); }
    std::optional<Milli> bean_near(Tick at) const;
    void tell(FixedList<Milestone, 4>& found);
    void look_at(BeanPoint point, Alarmed alarmed);
    static bool believes(const Found& drop, Alarmed alarmed);
    void detect_by_temperature(const BeanTick& bean, FixedList<Milestone, 4>& found);
    void remember(const BeanTick& bean);
    void remember_highest();
    void sum_up(int entries);
    std::size_t look_from(double level_c) const;
    Tick passed(double level_c, Tick now) const;  ///< when the rising bean temperature was there first
    void update_follower(Tick now, const ControlLevels& levels);
    void wait_before_leaving(Tick now);
    std::optional<double> burner_more(Tick now, const ControlLevels& levels) const;
    void update_forecast(Tick now, std::optional<double> burner);
    NoForecast no_forecast() const;
    CrackForecast forecast_now(Tick now) const;
    void expect_burner(ForecastInput& input) const;
    std::optional<double> burner_level(const ControlLevels& levels) const;
    void update_triggers(Tick now, const ControlLevels& levels);
    TriggerTime trigger_time(const PlannedMove& move, std::size_t index, double now_s) const;
    bool set_for(std::size_t planned, Control control) const;
    void stand_in(std::size_t planned, const ControlLevels& levels);
    bool match_due(Tick now) const;
    void rematch_in_time(Tick now);
    void rematch(Tick now, bool over);

    std::uint64_t id_ = 0;
    std::optional<double> idle_s_;
    CurvePtr target_;
    CrackExpectation crack_;
    Tick counted_from_;
    bool unseen_ = false;
    MilestoneSet milestones_{};
    MilestoneSet detected_{};
    std::array<bool, kMilestones> rejected_{};  ///< detections that a person has called false
    Trace trace_;
    DeviationSum deviations_;
    std::optional<Tick> highest_from_;  ///< the turning point that highest_c_ counts from
    float highest_c_ = 0;               ///< of the smooth values in the trace since then
    TurningPointDetector turning_;
    DropDetector drop_;
    ChargeDoubt doubt_;
    DropDoubt drop_doubt_;
    std::optional<double> doubted_;
    std::optional<Found> turned_;  ///< found, told at the next tick
    std::optional<Found> dropped_;
    // What takes long shares the ticks out: a second such job in one tick gives way, some times in a row.
    enum class Job : std::uint8_t { forecast, moves, sum };
    bool gives_way(Job job);
    /// A person waits to see it.
    void match_at_once() {
        matched_at_.reset();
        gave_way_[static_cast<std::size_t>(Job::moves)] = 1'000;
    }
    std::array<int, 3> gave_way_{};
    bool busy_ = false;
    bool quick_ticks_ = false;
    Tick stepped_;
    std::optional<Tick> time_lost_;
    RiseTrend trend_;
    BurnerLead burner_;
    SteadyForecast steady_;
    CrackForecast fresh_;  ///< made anew once a second; what is shown moves at every tick
    std::optional<Tick> fresh_at_;
    std::optional<double> smooth_c_;
    std::optional<double> rise_per_min_;
    bool outside_ = false;
    Tick outside_since_;
    std::optional<FollowView> follow_;
    RiseDrift drift_;
    std::optional<Tick> leaving_since_;
    std::array<bool, kControls> control_read_{};  ///< a level of it was read in this batch
    std::optional<double> first_burner_;          ///< as it stood when the drum was charged
    std::optional<double> ahead_s_;               ///< as last known
    CrackForecast forecast_{std::nullopt, NoForecast::before_turning_point};
    MadeMoves made_;
    TriggerTimes triggers_;
    FixedList<std::optional<Tick>, kMaxMoves> reached_;  ///< when a move's bean temperature was first reached
    FixedList<MoveView, kMaxMoves> moves_;
    std::uint64_t matchings_ = 0;
    std::optional<Tick> matched_at_;  ///< nothing: something has changed since
};

}  // namespace drumwatch

#include "roast/target/made_moves.hpp"

#include <algorithm>
#include <cmath>

#include "roast/target/robust.hpp"

namespace drumwatch {
namespace {

constexpr double kLeastMove = 0.8;       // %, kPa in tenths, steps: a smaller one is a wobble
constexpr double kLeastPressure = 0.05;  // kPa
constexpr double kSameLevel = 2.5;       // % or steps; the follower takes 2
constexpr double kSamePressure = 0.15;   // kPa
constexpr double kSameMove_s = 75;       // by the clock that fits best
constexpr double kLate_s = 10;           // as a verdict takes it
constexpr double kPartOfCharge_s = 2;    // set with the charge, by a second or two
constexpr double kPartOfDrop_s = 5;

struct Move {
    std::size_t roast = 0;
    double at_s = 0;
    double to = 0;
    bool down = false;
    std::optional<double> bean_c;
    std::optional<double> after_crack_s;
    bool used = false;
};

std::optional<double> crack_s(const SourceRoast& roast, const SmoothRoast& smooth) {
    const auto& crack = roast.milestones_s[static_cast<std::size_t>(Milestone::first_crack)];
    if (!crack) return std::nullopt;
    return *crack + smooth.shift_s;
}

/// What one roast did with one control.
void add_moves(std::vector<Move>& moves, const SourceRoast& roast, const SmoothRoast& smooth,
               std::size_t index, const ControlTrack& track) {
    const double least = track.unit == LevelUnit::kilopascal ? kLeastPressure : kLeastMove;
    for (const LevelChange& change : level_changes(track.readings, least)) {
        if (change.at_s < -kPartOfCharge_s || change.at_s > roast.drop_s() - kPartOfDrop_s) continue;
        Move move;
        move.roast = index;
        move.at_s = std::max(0.0, change.at_s + smooth.shift_s);
        move.to = change.to;
        move.down = change.to < change.from;
        move.bean_c = smooth.bean_at(move.at_s);
        if (const auto crack = crack_s(roast, smooth)) move.after_crack_s = move.at_s - *crack;
        moves.push_back(move);
    }
}

/// One control's moves of all roasts, and the plan that most of them share.
class Vote {
  public:
    Vote(Control control, LevelUnit unit, std::vector<std::size_t> voters, const MadeCurve& curve)
        : control_(control), unit_(unit), voters_(std::move(voters)), curve_(curve) {}

    std::vector<Move> moves;

    struct Planned {
        PlannedMove move;
        ChosenTrigger why;
        double at_s = 0;
    };
    std::vector<Planned> elect(std::vector<MakingNote>& notes) {
        std::vector<Planned> plan;
        for (;;) {
            const std::vector<std::size_t> best = largest_group();
            if (best.empty()) return plan;
            for (const std::size_t i : best) moves[i].used = true;
            if (carried(best)) {
                plan.push_back(planned(best));
                continue;
            }
            MakingNote note{MakingNoteKind::move_outvoted};
            note.control = control_;
            note.value = moves[best.front()].at_s;
            note.other = moves[best.front()].to;
            note.count = static_cast<int>(best.size());
            note.of = count();
            notes.push_back(note);
        }
    }

  private:
    /// More than half of three; half of four or more, since trims of two roasts hardly ever meet; of two,
    /// both, or the one that made fewer moves.
    bool carried(const std::vector<std::size_t>& group) const {
        const auto votes = static_cast<int>(group.size());
        if (voters_.size() == 2) return votes == 2 || moves[group.front()].roast == calmer();
        return voters_.size() < 4 ? 2 * votes > count() : 2 * votes >= count();
    }
    int count() const { return static_cast<int>(voters_.size()); }
    /// The roast that made fewer moves.
    std::size_t calmer() const {
        const auto made = [&](std::size_t roast) {
            return std::count_if(moves.begin(), moves.end(),
                                 [&](const Move& move) { return move.roast == roast; });
        };
        return *std::min_element(voters_.begin(), voters_.end(),
                                 [&](std::size_t a, std::size_t b) { return made(a) < made(b); });
    }
    /// Seconds apart by the clock that fits best; nothing where they are not the same move.
    std::optional<double> apart_s(const Move& a, const Move& b) const {
        const double level = unit_ == LevelUnit::kilopascal ? kSamePressure : kSameLevel;
        if (a.down != b.down || std::fabs(a.to - b.to) > level) return std::nullopt;
        double apart = std::fabs(a.at_s - b.at_s);
        const double rise = rise_near(a.at_s);
        if (a.bean_c && b.bean_c && rise > 0)
            apart = std::min(apart, std::fabs(*a.bean_c - *b.bean_c) / rise);
        if (a.after_crack_s && b.after_crack_s && *a.after_crack_s > 0 && *b.after_crack_s > 0)
            apart = std::min(apart, std::fabs(*a.after_crack_s - *b.after_crack_s));
        if (apart > kSameMove_s) return std::nullopt;
        return apart;
    }
    /// Usual rise of the roasts; 0 where they still fall.
    double rise_near(double t_s) const {
        std::vector<double> rises;
        for (const SmoothRoast& roast : curve_.roasts())
            if (const auto rise = roast.per_second_at(t_s)) rises.push_back(*rise);
        return std::max(0.0, median(std::move(rises)));
    }
    /// The moves of the other roasts that are this one, at most one a roast; and how far apart in all.
    std::vector<std::size_t> group_of(std::size_t of, double& apart_in_all) const {
        std::vector<std::size_t> group{of};
        apart_in_all = 0;
        for (std::size_t roast = 0; roast < curve_.roasts().size(); ++roast) {
            std::optional<std::size_t> nearest;
            double least = 0;
            for (std::size_t i = 0; i < moves.size(); ++i) {
                if (moves[i].used || moves[i].roast != roast || roast == moves[of].roast) continue;
                const auto apart = apart_s(moves[of], moves[i]);
                if (!apart || (nearest && *apart >= least)) continue;
                nearest = i;
                least = *apart;
            }
            if (!nearest) continue;
            group.push_back(*nearest);
            apart_in_all += least;
        }
        return group;
    }
    std::vector<std::size_t> largest_group() const {
        std::vector<std::size_t> best;
        double best_apart = 0;
        for (std::size_t i = 0; i < moves.size(); ++i) {
            if (moves[i].used) continue;
            double apart = 0;
            auto group = group_of(i, apart);
            if (group.size() < best.size() || (group.size() == best.size() && apart >= best_apart)) continue;
            best = std::move(group);
            best_apart = apart;
        }
        return best;
    }
    Planned planned(const std::vector<std::size_t>& group) const {
        Happenings seen;
        std::vector<double> levels;
        for (const std::size_t i : group) {
            seen.at_s.push_back(moves[i].at_s);
            if (moves[i].bean_c) seen.bean_c.push_back(*moves[i].bean_c);
            if (moves[i].after_crack_s) seen.after_crack_s.push_back(*moves[i].after_crack_s);
            levels.push_back(moves[i].to);
        }
        seen.per_second = seen.bean_c.size() == group.size() ? rise_near(median(seen.at_s)) : 0;
        Planned planned;
        planned.why = choose_trigger(seen, TriggerKind::at_s);
        if (group.size() == 2 && !planned.why.changed) {
            forgive_the_late(seen);
            planned.why = choose_trigger(seen, TriggerKind::at_s);
        }
        planned.at_s = median(seen.at_s);
        planned.move = {control_, tidy(median(std::move(levels))), unit_, planned.why.trigger};
        return planned;
    }
    /// Of two hands far apart the later one was late.
    static void forgive_the_late(Happenings& seen) {
        const auto [early, late] = std::minmax(seen.at_s[0], seen.at_s[1]);
        if (late - early > kLate_s) seen.at_s = {early};
    }
    /// A whole level where it is meant, else the half that is nearest; kPa in hundredths.
    double tidy(double level) const {
        if (unit_ == LevelUnit::kilopascal) return std::round(level * 100) / 100;
        const double whole = std::round(level);
        return std::fabs(level - whole) < 0.3 ? whole : std::round(level * 2) / 2;
    }

    Control control_;
    LevelUnit unit_;
    std::vector<std::size_t> voters_;  ///< roasts that record the control
    const MadeCurve& curve_;
};

void elect(std::vector<Vote::Planned>& plan, Control control, const std::vector<SourceRoast>& roasts,
           const MadeCurve& curve, std::vector<MakingNote>& notes) {
    const auto track_of = [&](const SourceRoast& roast) -> const ControlTrack& {
        return roast.controls[static_cast<std::size_t>(control)];
    };
    std::optional<LevelUnit> unit;
    std::vector<std::size_t> voters;
    for (std::size_t i = 0; i < roasts.size(); ++i) {
        if (track_of(roasts[i]).readings.empty()) continue;
        if (!unit) unit = track_of(roasts[i]).unit;
        if (track_of(roasts[i]).unit == *unit) {
            voters.push_back(i);
            continue;
        }
        MakingNote note{MakingNoteKind::unit_differs, static_cast<int>(i)};
        note.control = control;
        notes.push_back(note);
    }
    if (!unit) {
        MakingNote note{MakingNoteKind::no_control};
        note.control = control;
        notes.push_back(note);
        return;
    }
    Vote vote(control, *unit, voters, curve);
    for (const std::size_t i : voters)
        add_moves(vote.moves, roasts[i], curve.roasts()[i], i, track_of(roasts[i]));
    for (Vote::Planned& planned : vote.elect(notes)) plan.push_back(std::move(planned));
}

}  // namespace

std::vector<PlannedMove> made_moves(const std::vector<SourceRoast>& roasts, const MadeCurve& curve,
                                    std::vector<MakingNote>& notes) {
    std::vector<Vote::Planned> plan;
    elect(plan, Control::burner, roasts, curve, notes);
    elect(plan, Control::airflow, roasts, curve, notes);
    std::stable_sort(plan.begin(), plan.end(), [](const auto& a, const auto& b) { return a.at_s < b.at_s; });
    std::vector<PlannedMove> moves;
    for (std::size_t i = 0; i < plan.size(); ++i) {
        moves.push_back(plan[i].move);
        if (!plan[i].why.changed) continue;
        MakingNote note{MakingNoteKind::move_by_trigger};
        note.move = static_cast<int>(i);
        note.value = plan[i].why.spread_s;
        note.limit = plan[i].why.usual_s;
        notes.push_back(note);
    }
    return moves;
}

}  // namespace drumwatch

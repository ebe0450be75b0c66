#include <array>
#include <cmath>

#include "roast/follow/moves.hpp"

namespace drumwatch {

namespace {
using Views = FixedList<MoveView, kMaxMoves>;

constexpr double kFarthest_s =
    150;  // further from its plan, a made move is another one, unless it still stands
constexpr double kAboutInTime_s = 25;  // a wrong level is taken for the planned move only this near
constexpr double kWrongLevel_s = 60;   // what a wrong level weighs, in seconds of another time
constexpr double kPerLevel_s = 3;      // and each unit of a level that is nearly right
constexpr double kNever = 1e9;

Views planned_views(const Target& target, const TriggerTimes& triggers) {
    Views views;
    for (std::size_t i = 0; i < target.moves.size() && i < triggers.size(); ++i) {
        const PlannedMove& move = target.moves[i];
        MoveView view;
        view.control = move.control;
        view.unit = move.unit;
        view.planned = static_cast<std::int16_t>(i);
        view.trigger = move.when;
        view.planned_level = move.to;
        view.planned_at_s = triggers[i].at_s;
        views.push_back(view);
    }
    return views;
}

double distance_s(const MoveView& view, double made_s) {
    return view.planned_at_s ? std::fabs(made_s - *view.planned_at_s) : 0;
}

void take(MoveView& view, const MadeMove& made, double made_s) {
    view.made_at_s = made_s;
    view.made_level = made.level;
    view.tapped = made.tapped;
}

/// One matching of all moves: of all pairs that could be meant, the likeliest first. A pair of the right
/// level is the likelier the nearer it is in time; a wrong level about in time is as likely as the right one
/// a minute off.
class Matching {
  public:
    Matching(Views& views, const TriggerTimes& triggers, const MadeMoves& made, Tick charge,
             const MoveRules& rules)
        : views_(views), triggers_(triggers), made_(made), charge_(charge), rules_(rules) {}

    void run() {
        for (std::size_t m = 0; m < made_.size(); ++m) look(m);
        for (;;) {
            const Pair* best = nullptr;
            for (const Pair& pair : pairs_) {
                const bool open = !taken_[pair.made] && !views_[pair.plan].made_at_s;
                if (open && (!best || pair.unlikely < best->unlikely)) best = &pair;
            }
            if (!best) return;
            take(views_[best->plan], made_[best->made], at_s(made_[best->made]));
            taken_[best->made] = true;
        }
    }
    bool taken(std::size_t made) const { return taken_[made]; }

  private:
    struct Pair {
        std::uint8_t plan = 0;
        std::uint8_t made = 0;
        double unlikely = kNever;
    };
    static_assert(kMaxMoves <= 256);

    void look(std::size_t m) {
        for (std::size_t plan = 0; plan < triggers_.size(); ++plan) {
            if (views_[plan].control != made_[m].control) continue;
            const double unlikely = how_unlikely(plan, made_[m]);
            if (unlikely >= kNever) continue;
            pairs_.push_back({static_cast<std::uint8_t>(plan), static_cast<std::uint8_t>(m), unlikely});
        }
    }
    double how_unlikely(std::size_t plan, const MadeMove& made) const {
        const double off_s = distance_s(views_[plan], at_s(made));
        const double off_level = std::fabs(views_[plan].planned_level - made.level);
        if (off_level <= rules_.level_within) {
            if (off_s <= kFarthest_s) return off_s + kPerLevel_s * off_level;
            return stands(plan, made) ? kFarthest_s + off_s : kNever;
        }
        const bool about_in_time = views_[plan].planned_at_s && off_s <= kAboutInTime_s;
        return about_in_time ? kWrongLevel_s + off_s : kNever;
    }
    double at_s(const MadeMove& made) const { return seconds_between(charge_, made.at); }
    /// Whether it was made before the moment that is due, and no other move of that control lies between.
    bool stands(std::size_t plan, const MadeMove& move) const {
        const TriggerTime& due = triggers_[plan];
        if (!due.has_come || !due.at_s) return false;
        if (move.at < charge_ || at_s(move) > *due.at_s) return false;
        for (const MadeMove& other : made_) {
            const bool between = other.at > move.at && at_s(other) <= *due.at_s;
            if (other.control == move.control && between) return false;
        }
        return true;
    }

    Views& views_;
    const TriggerTimes& triggers_;
    const MadeMoves& made_;
    Tick charge_;
    const MoveRules& rules_;
    std::array<bool, kMaxMoves> taken_{};
    FixedList<Pair, kMaxMoves * kMaxMoves> pairs_;  ///< those that could be meant
};

MoveView extra_view(const MadeMove& made, double made_s) {
    MoveView view;
    view.control = made.control;
    take(view, made, made_s);
    view.judgement = MoveJudgement::extra;
    return view;
}

MoveJudgement judge_made(const MoveView& view, const TriggerTime& trigger, double now_s,
                         const MoveRules& rules) {
    if (std::fabs(view.planned_level - view.made_level) > rules.level_within)
        return MoveJudgement::wrong_level;
    if (!trigger.has_come) {
        const bool early = !trigger.unseen && now_s - *view.made_at_s > rules.on_time_s;
        return early ? MoveJudgement::early : MoveJudgement::waiting;
    }
    if (*view.error_s > rules.on_time_s) return MoveJudgement::late;
    return *view.error_s < -rules.on_time_s ? MoveJudgement::early : MoveJudgement::on_time;
}

MoveJudgement judge_open(const TriggerTime& trigger, double now_s, bool over, const MoveRules& rules) {
    if (!trigger.has_come || !trigger.at_s) return MoveJudgement::waiting;
    const double overdue_s = now_s - *trigger.at_s;
    return (over && overdue_s > rules.on_time_s) || overdue_s > rules.missed_after_s ? MoveJudgement::missed
                                                                                     : MoveJudgement::waiting;
}

/// A planned move that nobody saw, since the next one of its control was made with it in one turn of the
/// knob.
const MoveView* turned_through(const Views& views, std::size_t planned, std::size_t index, double within_s) {
    const MoveView& own = views[index];
    for (std::size_t i = 0; i < planned; ++i) {
        const MoveView& next = views[i];
        if (i == index || next.control != own.control || !next.made_at_s || !own.planned_at_s) continue;
        const bool follows = next.planned_at_s && *next.planned_at_s >= *own.planned_at_s;
        if (follows && std::fabs(*next.made_at_s - *own.planned_at_s) <= within_s) return &next;
    }
    return nullptr;
}

}  // namespace

FixedList<MoveView, kMaxMoves> match_moves(const Target& target, const TriggerTimes& triggers,
                                           const MadeMoves& made, Tick charge, double now_s, bool over,
                                           const MoveRules& rules) {
    Views views = planned_views(target, triggers);
    const std::size_t planned = views.size();
    Matching matching(views, triggers, made, charge, rules);
    matching.run();
    for (std::size_t m = 0; m < made.size(); ++m) {
        const double made_s = seconds_between(charge, made[m].at);
        const bool with_charge = made_s < rules.part_of_charge_s;
        const bool with_drop = over && made_s > now_s - rules.part_of_drop_s;
        if (!matching.taken(m) && !with_charge && !with_drop) views.push_back(extra_view(made[m], made_s));
    }
    for (std::size_t i = 0; i < planned; ++i) {
        MoveView& view = views[i];
        if (!view.made_at_s && triggers[i].has_come) {
            const MoveView* through = turned_through(views, planned, i, rules.on_time_s);
            if (through) take(view, {view.control, view.planned_level, {}}, *through->made_at_s);
        }
        if (view.made_at_s && view.planned_at_s) view.error_s = *view.made_at_s - *view.planned_at_s;
        view.judgement = view.made_at_s ? judge_made(view, triggers[i], now_s, rules)
                                        : judge_open(triggers[i], now_s, over, rules);
    }
    return views;
}

}  // namespace drumwatch

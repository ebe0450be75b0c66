#include <cmath>

#include "roast/follow/moves.hpp"

namespace drumwatch {

namespace {
using Views = FixedList<MoveView, kMaxMoves>;

constexpr double kFarthest_s =
    150;  // further from its plan, a made move is another one, unless it still stands
constexpr double kWrongLevel_s = 25;  // a wrong level is taken for the planned move only this near

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

bool open_for(const MoveView& view, Control control) {
    return view.planned >= 0 && view.control == control && !view.made_at_s;
}

double distance_s(const MoveView& view, double made_s) {
    return view.planned_at_s ? std::fabs(made_s - *view.planned_at_s) : 0;
}

/// Whether it was made before the moment that is due, and no other move of that control lies between.
bool stands_until(const MadeMove& move, const MadeMoves& made, const TriggerTime& due, Tick charge) {
    if (!due.has_come || !due.at_s) return false;
    if (move.at < charge || seconds_between(charge, move.at) > *due.at_s) return false;
    for (const MadeMove& other : made) {
        const bool between = other.at > move.at && seconds_between(charge, other.at) <= *due.at_s;
        if (other.control == move.control && between) return false;
    }
    return true;
}

/// The first planned move still open for this one: same level first, else one that is due about now.
MoveView* partner(Views& views, const TriggerTimes& triggers, const MadeMoves& all, const MadeMove& made,
                  Tick charge, const MoveRules& rules) {
    const double made_s = seconds_between(charge, made.at);
    const std::size_t planned = triggers.size();
    for (std::size_t i = 0; i < planned; ++i) {
        MoveView& view = views[i];
        if (!open_for(view, made.control)) continue;
        const bool near = distance_s(view, made_s) <= kFarthest_s;
        if (!near && !stands_until(made, all, triggers[i], charge)) continue;
        if (std::fabs(view.planned_level - made.level) <= rules.level_within) return &view;
    }
    for (std::size_t i = 0; i < planned; ++i) {
        MoveView& view = views[i];
        if (open_for(view, made.control) && view.planned_at_s && distance_s(view, made_s) <= kWrongLevel_s)
            return &view;
    }
    return nullptr;
}

void take(MoveView& view, const MadeMove& made, double made_s) {
    view.made_at_s = made_s;
    view.made_level = made.level;
}

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

}  // namespace

FixedList<MoveView, kMaxMoves> match_moves(const Target& target, const TriggerTimes& triggers,
                                           const MadeMoves& made, Tick charge, double now_s, bool over,
                                           const MoveRules& rules) {
    Views views = planned_views(target, triggers);
    const std::size_t planned = views.size();
    for (const MadeMove& move : made) {
        const double made_s = seconds_between(charge, move.at);
        if (MoveView* view = partner(views, triggers, made, move, charge, rules)) {
            take(*view, move, made_s);
        } else if (made_s >= 0 && !(over && made_s > now_s - rules.part_of_drop_s)) {
            views.push_back(extra_view(move, made_s));
        }
    }
    for (std::size_t i = 0; i < planned; ++i) {
        MoveView& view = views[i];
        if (view.made_at_s && view.planned_at_s) view.error_s = *view.made_at_s - *view.planned_at_s;
        view.judgement = view.made_at_s ? judge_made(view, triggers[i], now_s, rules)
                                        : judge_open(triggers[i], now_s, over, rules);
    }
    return views;
}

}  // namespace drumwatch

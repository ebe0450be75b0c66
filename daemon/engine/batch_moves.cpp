// The batch's planned and made moves, and what comes next.
#include <algorithm>
#include <cmath>
#include <cstdlib>

#include "engine/batch.hpp"

namespace drumwatch {

namespace {
constexpr double kLevelStands = 2;  // a level this near the planned one needs no move
constexpr std::int64_t kSameMove_ms = 2'000;
constexpr std::int64_t kMatchedFor_ms = 2'000;
}  // namespace

TriggerTime Batch::trigger_time(const PlannedMove& move, std::size_t index, double now_s) const {
    switch (move.when.kind) {
        case TriggerKind::at_s:
            return {move.when.value, now_s >= move.when.value};
        case TriggerKind::bean_c:
            if (reached_[index]) return {since_charge_s(*reached_[index]), true};
            return {expected_time_at(*target_, move.when.value, ahead_s_), false, !smooth_c_};
        case TriggerKind::after_first_crack_s:
            break;
    }
    if (const auto& crack = at(Milestone::first_crack)) {
        const double at_s = since_charge_s(crack->at) + move.when.value;
        return {at_s, now_s >= at_s};
    }
    if (forecast_.view) return {forecast_.view->at_s + move.when.value, false};
    const auto planned_crack = target_->crack_s();
    if (!planned_crack) return {};
    return {*planned_crack - ahead_s_.value_or(0) + move.when.value, false};
}

/// Whether the level of this control was set by a move that is free for this plan: then it is no stand-in.
bool Batch::set_for(std::size_t planned, Control control) const {
    const MadeMove* last = nullptr;
    for (const MadeMove& made : made_) {
        if (made.control == control && (!last || made.at >= last->at)) last = &made;
    }
    if (!last || last->at < charge()) return false;
    for (const MoveView& view : moves_) {
        if (view.control != control || view.made_at_s != since_charge_s(last->at)) continue;
        return view.planned < 0 || static_cast<std::size_t>(view.planned) == planned;
    }
    return true;  // new at this tick
}

/// A planned move to a level that stands already is made, at the moment when it is due.
void Batch::stand_in(std::size_t planned, const ControlLevels& levels) {
    const PlannedMove& move = target_->target().moves[planned];
    const auto level = levels[static_cast<std::size_t>(move.control)];
    const double due_s = *triggers_[planned].at_s;
    if (!level || std::fabs(*level - move.to) > kLevelStands) return;
    if (set_for(planned, move.control)) return;
    const auto due_ms = static_cast<std::int64_t>(std::llround(due_s * 1000));
    made_.push_back({move.control, *level, charge() + due_ms});
}

void Batch::update_triggers(Tick now, const ControlLevels& levels) {
    if (!target_ || time_lost_) return;
    const double now_s = since_charge_s(now);
    const auto& moves = target_->target().moves;
    for (std::size_t i = 0; i < triggers_.size(); ++i) {
        const Trigger& when = moves[i].when;
        const bool rising = at(Milestone::turning_point).has_value();
        if (when.kind == TriggerKind::bean_c && !reached_[i] && rising && smooth_c_ &&
            *smooth_c_ >= when.value) {
            reached_[i] = passed(when.value, now);
        }
        const bool came_before = triggers_[i].has_come;
        const bool by_bean = when.kind == TriggerKind::bean_c && !reached_[i];
        if (by_bean && !match_due(now)) continue;  // what is expected may be two seconds old
        triggers_[i] = trigger_time(moves[i], i, now_s);
        if (triggers_[i].has_come == came_before) continue;
        match_at_once();
        if (triggers_[i].has_come) stand_in(i, levels);
    }
}

std::optional<MadeMove> Batch::retime_move(Control control, Tick was, Tick at) {
    MadeMove* nearest = nullptr;
    for (MadeMove& made : made_) {
        if (!made.tapped || made.control != control || std::llabs(made.at - was) > kSameMove_ms) continue;
        if (!nearest || std::llabs(made.at - was) < std::llabs(nearest->at - was)) nearest = &made;
    }
    if (!nearest) return std::nullopt;
    nearest->at = at;
    match_at_once();
    return *nearest;
}

/// Before the first planned move the burner is taken to stand where the plan has it. Nothing where the plan
/// is in another unit than %, or no channel reads the burner.
std::optional<double> Batch::burner_more(Tick now, const ControlLevels& levels) const {
    const auto level = levels[static_cast<std::size_t>(Control::burner)];
    if (!level || !first_burner_) return std::nullopt;
    double planned = *first_burner_;
    double newest_s = 0;
    const double now_s = since_charge_s(now);
    for (std::size_t i = 0; i < triggers_.size(); ++i) {
        const PlannedMove& move = target_->target().moves[i];
        if (move.control != Control::burner) continue;
        if (move.unit != LevelUnit::percent) return std::nullopt;
        const auto& due_s = triggers_[i].at_s;
        if (!triggers_[i].has_come || !due_s || *due_s > now_s || *due_s < newest_s) continue;
        newest_s = *due_s;
        planned = move.to;
    }
    return *level - planned;
}

/// Each other second, and whenever a move was made or became due: between, only what is expected moves a
/// little.
bool Batch::match_due(Tick now) const { return !matched_at_ || now - *matched_at_ >= kMatchedFor_ms; }

void Batch::rematch_in_time(Tick now) {
    if (!match_due(now) || gives_way(Job::moves)) return;
    matched_at_ = now;
    rematch(now, false);
}

void Batch::rematch(Tick now, bool over) {
    // Moves made after the drop belong to no batch; they stay, since the drop may be taken back.
    MadeMoves until_now;
    for (const MadeMove& move : made_) {
        if (!over || move.at <= now) until_now.push_back(move);
    }
    static const Target kNothingPlanned{};
    MoveRules rules;
    if (target_) rules.on_time_s = target_->target().tolerance.move_s;
    ++matchings_;
    moves_ = match_moves(target_ ? target_->target() : kNothingPlanned, triggers_, until_now, charge(),
                         since_charge_s(now), over, rules);
}

std::optional<NextMoveView> Batch::next_move(Tick now) const {
    const MoveView* next = nullptr;
    for (const MoveView& move : moves_) {
        if (move.planned < 0 || move.made_at_s || move.judgement != MoveJudgement::waiting) continue;
        if (!next || (move.planned_at_s && (!next->planned_at_s || *move.planned_at_s < *next->planned_at_s)))
            next = &move;
    }
    if (!next || time_lost_) return std::nullopt;
    NextMoveView view;
    view.planned = next->planned;
    if (next->planned_at_s) view.in_s = *next->planned_at_s - since_charge_s(now);
    return view;
}

std::optional<DropView> Batch::drop_view(Tick now) const {
    DropView view;
    const double now_s = since_charge_s(now);
    if (time_lost_) return view;
    if (const auto& crack = at(Milestone::first_crack)) {
        view.development_s = seconds_between(crack->at, now);
        if (now_s > 0) view.development_share = *view.development_s / now_s;
    }
    if (!target_ || !at(Milestone::turning_point)) return view;
    const auto& rule = target_->target().drop;
    if (!rule) {
        view.at_s = target_->end_s() - ahead_s_.value_or(0);
    } else if (rule->kind == TriggerKind::at_s) {
        view.at_s = rule->value;
    } else if (rule->kind == TriggerKind::bean_c) {
        view.at_s = expected_time_at(*target_, rule->value, ahead_s_);
    } else if (const auto& crack = at(Milestone::first_crack)) {
        view.at_s = since_charge_s(crack->at) + rule->value;
    } else if (forecast_.view) {
        view.at_s = forecast_.view->at_s + rule->value;
    }
    if (view.at_s) view.in_s = *view.at_s - now_s;
    return view;
}

}  // namespace drumwatch

// A batch's life: charged, marked, dropped, judged, judged again.
#include <algorithm>

#include "engine/engine.hpp"
#include "roast/forecast/learning.hpp"

namespace drumwatch {

void Engine::start_batch(MilestoneAt charge, Tick now) {
    current_ = 1 - current_;
    roasting_ = true;
    late_.stop();
    Batch& batch = batches_[current_];
    batch.start(next_roast_++, charge, target_, lessons_, idle_s(charge.at));
    say_milestone(EventKind::milestone_set, batch.id(), Milestone::charge, charge, now);
}

/// Found by its turning point, or only by its drop.
void Engine::start_unseen(const LateStart::Milestones& late, Tick now) {
    current_ = 1 - current_;
    roasting_ = true;
    Batch& batch = batches_[current_];
    batch.start_unseen(next_roast_++, late.first, target_, lessons_);
    const Milestone milestone = late.drop ? Milestone::drop : Milestone::turning_point;
    batch.detect(milestone, late.drop ? *late.drop : *late.turning_point);
    charge_.be_strict(false);
    look_for_charge_anew();
    say_milestone(EventKind::milestone_set, batch.id(), milestone,
                  *batch.milestones()[static_cast<std::size_t>(milestone)], now);
    if (late.drop) drop_batch(now);
}

/// Once, when the second of the two becomes known.
void Engine::say_disagreement(Milestone milestone, Tick now) {
    const Batch& batch = batches_[current_];
    const auto off_s = batch.disagreement_s(milestone);
    if (!off_s) return;
    const MilestoneAt& found = *batch.detected(milestone);
    Event& event = say_milestone(EventKind::mark_disagrees, batch.id(), milestone, found, now);
    event.value_milli = to_milli(*off_s).value_or(0);
    event.bad = false;
    disagrees_ = Disagreement{milestone, *off_s, now};
}

std::optional<double> Engine::idle_s(Tick charge) const {
    if (last_drop_) return seconds_between(*last_drop_, charge);
    if (!begin_.idle_ms) return std::nullopt;
    return static_cast<double>(*begin_.idle_ms + (charge - begin_.carried.first)) / 1000;
}

/// The batch whose marks a person may still set: the one in the drum, else the last.
Batch* Engine::living() {
    if (roasting_) return &batches_[current_];
    return last_alive_ ? &batches_[current_] : nullptr;
}

void Engine::drop_batch(Tick now) {
    roasting_ = false;
    last_alive_ = true;
    empty_since_ = now;
    look_for_charge_anew();
    const Batch& batch = batches_[current_];
    cooling_ = CoolingView{batch.id(), batch.milestones()[static_cast<std::size_t>(Milestone::drop)]->at,
                           std::nullopt};
    before_last_ = lessons_;
    alarms_.end_batch();
    judge_last(now);
}

void Engine::judge_last(Tick now) {
    const bool overdue = (health_bad_ >> static_cast<unsigned>(Health::probe_check_overdue) & 1u) != 0;
    last_verdict_ = batches_[current_].finish(begin_.settings.judge_trial, overdue);
    last_drop_ = last_verdict_->dropped;
    Event& event = say(EventKind::verdict_given, now, last_verdict_->dropped);
    event.roast = last_verdict_->verdict.roast;
    event.disposition = last_verdict_->verdict.disposition;
    // Each roast teaches once, by what stands of it now.
    if (!before_last_) return;
    lessons_ = *before_last_;
    learn(*last_verdict_);
}

void Engine::learn(const VerdictView& finished) {
    const Batch& batch = batches_[current_];
    if (const auto lesson = lesson_of(finished.milestones, batch.target().get()))
        lessons_ = learned(lessons_, *lesson);
}

Refusal Engine::mark(const Command& command) {
    if (command.at > command.tick) return Refusal::in_future;
    if (command.milestone == Milestone::charge) return mark_charge(command);
    Batch* batch = living();
    if (!batch) return Refusal::no_roast;
    if (command.at <= batch->charge()) return Refusal::before_charge;
    if (!batch->fits(command.milestone, command.at)) return Refusal::out_of_order;
    if (batch->too_early(command.milestone, command.at)) return Refusal::not_turned;
    if (command.milestone == Milestone::drop) return mark_drop(command);
    const bool moved = batch->milestones()[static_cast<std::size_t>(command.milestone)].has_value();
    batch->mark(command.milestone, command.at);
    const auto& what = *batch->milestones()[static_cast<std::size_t>(command.milestone)];
    say_milestone(moved ? EventKind::milestone_moved : EventKind::milestone_set, batch->id(),
                  command.milestone, what, command.tick);
    say_disagreement(command.milestone, command.tick);
    if (!roasting_) judge_last(command.tick);
    return Refusal::none;
}

Refusal Engine::mark_charge(const Command& command) {
    if (last_drop_ && command.at < *last_drop_) return Refusal::out_of_order;
    if (!roasting_) {
        const auto bean_c = charge_.near(command.at);
        start_batch({command.at, bean_c ? to_milli(*bean_c) : std::nullopt, MarkSource::mark}, command.tick);
        return Refusal::none;
    }
    Batch& batch = batches_[current_];
    if (!batch.fits(Milestone::charge, command.at)) return Refusal::out_of_order;
    batch.mark(Milestone::charge, command.at);
    say_milestone(EventKind::milestone_moved, batch.id(), Milestone::charge, *batch.milestones()[0],
                  command.tick);
    say_disagreement(Milestone::charge, command.tick);
    return Refusal::none;
}

Refusal Engine::mark_drop(const Command& command) {
    Batch& batch = batches_[current_];
    const bool moved = batch.milestones()[static_cast<std::size_t>(Milestone::drop)].has_value();
    batch.mark(Milestone::drop, command.at);
    const auto& what = *batch.milestones()[static_cast<std::size_t>(Milestone::drop)];
    say_milestone(moved ? EventKind::milestone_moved : EventKind::milestone_set, batch.id(), Milestone::drop,
                  what, command.tick);
    say_disagreement(Milestone::drop, command.tick);
    if (roasting_) {
        drop_batch(command.tick);
    } else {
        judge_last(command.tick);
    }
    return Refusal::none;
}

Refusal Engine::withdraw(const Command& command) {
    Batch* batch = living();
    if (!batch) return Refusal::no_roast;
    const auto& mark = batch->milestones()[static_cast<std::size_t>(command.milestone)];
    if (!mark) return Refusal::not_marked;
    if (command.milestone == Milestone::charge) return withdraw_charge(command);
    const MilestoneAt was = *mark;
    batch->withdraw(command.milestone);
    const bool detected = batch->milestones()[static_cast<std::size_t>(command.milestone)].has_value();
    say_milestone(EventKind::milestone_withdrawn, batch->id(), command.milestone, was, command.tick);
    if (roasting_) return Refusal::none;
    if (command.milestone != Milestone::drop || detected) {
        judge_last(command.tick);
        return Refusal::none;
    }
    batch->take_back_drop(command.tick);
    go_on_roasting();
    return Refusal::none;
}

/// The coffee is still in the drum.
void Engine::go_on_roasting() {
    roasting_ = true;
    cooling_.reset();
    last_verdict_.reset();
    last_drop_.reset();
    if (before_last_) lessons_ = *before_last_;
}

/// An opened door or a spoon of samples: said so, and looked for the drop again.
void Engine::take_back_drop(Tick now) {
    Batch& batch = batches_[current_];
    const MilestoneAt was = *batch.milestones()[static_cast<std::size_t>(Milestone::drop)];
    say_milestone(EventKind::milestone_withdrawn, batch.id(), Milestone::drop, was, now);
    batch.take_back_drop(now);
    go_on_roasting();
}

/// A charge that only a person marked is withdrawn with its roast; one that was also detected goes back to
/// that.
Refusal Engine::withdraw_charge(const Command& command) {
    if (!roasting_) return Refusal::no_roast;
    Batch& batch = batches_[current_];
    const bool marked = batch.milestones()[0]->source == MarkSource::mark;
    if (!marked || !batch.detected(Milestone::charge)) return give_up(command, EventKind::roast_withdrawn);
    batch.withdraw_charge_mark();
    say_milestone(EventKind::milestone_moved, batch.id(), Milestone::charge, *batch.milestones()[0],
                  command.tick);
    return Refusal::none;
}

Refusal Engine::give_up(const Command& command, EventKind kind) {
    if (!roasting_) return Refusal::no_roast;
    say(kind, command.tick, command.tick);
    empty_drum(command.tick);
    return Refusal::none;
}

/// Without a batch that is worth a verdict.
void Engine::empty_drum(Tick now) {
    roasting_ = false;
    last_alive_ = false;
    alarms_.end_batch();
    empty_since_ = now;
    look_for_charge_anew();
}

/// An opened door, or a charge that was let out again: said so, and looked for the next.
void Engine::withdraw_doubted(double risen_c, Tick now) {
    Event& event = say(EventKind::roast_withdrawn, now, batches_[current_].charge());
    event.source = MarkSource::detected;
    event.value_milli = to_milli(risen_c).value_or(0);
    event.limit_milli = ChargeDoubt::kWithin_ms;
    event.bad = true;
    empty_drum(now);
}

Refusal Engine::choose_target(const Command& command) {
    target_ = command.target ? std::make_shared<const TargetCurve>(command.target) : nullptr;
    lessons_ = command.lessons;
    before_last_.reset();  // the last roast was of another coffee
    say(command.target ? EventKind::target_chosen : EventKind::target_dropped, command.tick, command.tick);
    if (roasting_) batches_[current_].set_target(target_, lessons_);
    return Refusal::none;
}

/// A channel reads this control, and its newest value is good.
bool Engine::reads(Control control) const {
    const Role role = control == Control::burner ? Role::burner : Role::airflow;
    const auto& index = roles_[static_cast<std::size_t>(role)];
    return index && is_good(channels_[*index].quality);
}

bool Engine::over_full(const Command& command) const {
    if (!target_ || command.level_milli <= 100'000) return false;
    const auto& moves = target_->target().moves;
    return std::any_of(moves.begin(), moves.end(), [&](const PlannedMove& move) {
        return move.control == command.control && move.unit == LevelUnit::percent;
    });
}

Refusal Engine::made_move(const Command& command) {
    if (!roasting_) return Refusal::no_roast;
    if (reads(command.control)) return Refusal::read_by_machine;
    if (over_full(command)) return Refusal::over_full;
    if (command.at > command.tick) return Refusal::in_future;
    if (command.at < batches_[current_].charge()) return Refusal::before_charge;
    const MadeMove made{command.control, from_milli(command.level_milli), command.at, true};
    if (!batches_[current_].add_move(made)) return Refusal::too_many_moves;
    Event& event = say(EventKind::move_made, command.tick, command.at);
    event.control = command.control;
    event.value_milli = command.level_milli;
    return Refusal::none;
}

/// As a mark: until the next charge.
Refusal Engine::retime_move(const Command& command) {
    Batch* batch = living();
    if (!batch) return Refusal::no_roast;
    if (command.at > command.tick) return Refusal::in_future;
    if (command.at < batch->charge()) return Refusal::before_charge;
    const auto made = batch->retime_move(command.control, command.was, command.at);
    if (!made) return Refusal::no_such_move;
    Event& event = say(EventKind::move_retimed, command.tick, command.at);
    event.roast = batch->id();
    event.control = command.control;
    event.value_milli = to_milli(made->level).value_or(0);
    if (!roasting_) judge_last(command.tick);
    return Refusal::none;
}

}  // namespace drumwatch

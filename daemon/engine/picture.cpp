// The snapshot: what the page, the sounder and the record are shown after a tick.
#include <algorithm>
#include <cmath>

#include "engine/engine.hpp"

namespace drumwatch {

namespace {
constexpr std::int64_t kFanEvery_ms = 1'000;
// Prompts: judgement, no source (20 s ahead for a move).
constexpr double kMoveAhead_s = 20;
constexpr double kMoveOverdue_s = 5;
constexpr double kCrackAhead_s = 45;
constexpr double kCrackUnmarkedAfter_s = 10;
constexpr double kDropAhead_s = 30;
constexpr double kLeavingAhead_s = 30;
constexpr double kChargeWithin_c = 5;
constexpr std::int64_t kChargeShown_ms = 90'000;
constexpr std::int64_t kDisagreementShown_ms = 60'000;
constexpr double kChargeQuiet_per_min = 12;

template <std::size_t N>
void prompt(FixedList<PromptView, N>& prompts, PromptKind kind, std::optional<double> in_s,
            std::int16_t planned = -1, double value = 0) {
    prompts.push_back({kind, in_s, planned, value});
}
}  // namespace

void Engine::show(const ChannelState& state, Tick now, ChannelView& view) const {
    view.value_milli = state.value_milli;
    view.quality = state.quality;
    view.doubt = state.doubt;
    view.age_ms = state.ever_fresh ? now - state.fresh_at : -1;
    view.rise_per_min.reset();
    if (state.line && has_value(state.quality)) view.rise_per_min = state.line->per_second * 60;
}

ReadyView Engine::ready() const {
    ReadyView view;
    if (target_) view.charge_c = target_->charge_c();
    if (roasting_) {  // nobody charges now: the rest is looked at once the drum is empty
        view.missing |= kMissingBatchInDrum;
        return view;
    }
    if (!target_) view.missing |= kMissingTarget;
    const auto* bean = channel(Role::bean);
    const auto line = bean ? bean->line : std::nullopt;
    if (!bean || !has_value(bean->quality) || !line) {
        view.missing |= kMissingBeanReading;
    } else if (view.charge_c) {
        const bool there = std::fabs(line->value - *view.charge_c) <= kChargeWithin_c;
        if (!there || std::fabs(line->per_second * 60) > kChargeQuiet_per_min)
            view.missing |= kMissingChargeTemperature;
    }
    if ((health_bad_ >> static_cast<unsigned>(Health::record_failing)) & 1u) view.missing |= kMissingRecord;
    if (alarms_.high_present()) view.missing |= kMissingWarning;
    view.to_charge = view.missing == 0;
    return view;
}

/// It can't be mended any more, but the first moves may want to know.
void Engine::prompt_charge(const Batch& batch, Tick now) {
    const auto& charge = batch.milestones()[static_cast<std::size_t>(Milestone::charge)];
    if (!target_ || !charge || !charge->bean_milli || now - charge->at > kChargeShown_ms) return;
    const double off_c = from_milli(*charge->bean_milli) - target_->charge_c();
    if (std::fabs(off_c) > kChargeWithin_c)
        prompt(snapshot_.prompts, PromptKind::charge_not_as_planned, std::nullopt, -1, off_c);
}

void Engine::draw_prompts(Tick now) {
    auto& prompts = snapshot_.prompts;
    prompts.clear();
    snapshot_.prompts_withheld = alarms_.safety_relevant_active();
    if (!roasting_) {
        if (snapshot_.ready.to_charge) prompt(prompts, PromptKind::ready_to_charge, std::nullopt);
        return;
    }
    if (disagrees_ && now - disagrees_->said < kDisagreementShown_ms)
        prompts.push_back(
            {PromptKind::mark_disagrees, std::nullopt, -1, disagrees_->off_s, disagrees_->milestone});
    const Batch& batch = batches_[current_];
    prompt_charge(batch, now);
    const auto& next = snapshot_.next_move;
    if (next && next->in_s && !snapshot_.prompts_withheld) {
        if (*next->in_s < -kMoveOverdue_s) {
            prompt(prompts, PromptKind::move_overdue, next->in_s, next->planned);
        } else if (*next->in_s <= kMoveAhead_s) {
            prompt(prompts, PromptKind::move_due, next->in_s, next->planned);
        }
    }
    const double now_s = seconds_between(batch.charge(), now);
    if (const auto& forecast = snapshot_.forecast) {
        const auto& estimate = batch.milestones()[static_cast<std::size_t>(Milestone::first_crack)];
        const double since_s = estimate ? seconds_between(estimate->at, now) : 0;
        if (since_s > forecast->high_s - forecast->at_s + kCrackUnmarkedAfter_s) {
            prompt(prompts, PromptKind::first_crack_not_marked, -since_s);
        } else if (forecast->at_s - now_s <= kCrackAhead_s) {
            prompt(prompts, PromptKind::first_crack_near, forecast->at_s - now_s);
        }
    }
    if (const auto& drop = snapshot_.drop; drop && drop->in_s && !snapshot_.prompts_withheld) {
        if (*drop->in_s <= 0) {
            prompt(prompts, PromptKind::drop_due, drop->in_s);
        } else if (*drop->in_s <= kDropAhead_s) {
            prompt(prompts, PromptKind::drop_near, drop->in_s);
        }
    }
    if (const auto& follow = snapshot_.follow; follow && follow->judged_now) {
        if (follow->outside) {
            prompt(prompts, PromptKind::outside_corridor, std::nullopt, -1, follow->deviation_c.value_or(0));
        } else if (follow->leaves_in_s && *follow->leaves_in_s <= kLeavingAhead_s) {
            prompt(prompts, PromptKind::leaving_corridor, follow->leaves_in_s);
        }
    }
}

void Engine::draw(Tick now) {
    snapshot_.sequence = static_cast<std::uint64_t>(now.ms / begin_.settings.tick_ms) + 1;
    snapshot_.tick = now;
    snapshot_.channels = static_cast<std::uint8_t>(channels_.size());
    for (std::size_t i = 0; i < channels_.size(); ++i) show(channels_[i], now, snapshot_.channel[i]);
    snapshot_.cooling = cooling_;
    snapshot_.target = target_ ? target_->pointer() : nullptr;
    snapshot_.last_verdict = last_verdict_;
    snapshot_.silent_buses = silent_buses_;
    snapshot_.health_bad = health_bad_;
    snapshot_.failed_sounders = failed_sounders_;
    snapshot_.roast.reset();
    snapshot_.follow.reset();
    snapshot_.next_move.reset();
    snapshot_.forecast.reset();
    snapshot_.drop.reset();
    snapshot_.no_forecast = NoForecast::no_roast;
    if (roasting_) {
        const Batch& batch = batches_[current_];
        snapshot_.target = batch.target() ? batch.target()->pointer() : nullptr;
        snapshot_.roast = batch.roast_view(now);
        snapshot_.follow = batch.follow_view();
        const auto matched = std::pair(current_, batch.matchings());
        if (moves_drawn_ != matched) snapshot_.moves = batch.moves();
        moves_drawn_ = matched;
        snapshot_.next_move = batch.next_move(now);
        snapshot_.forecast = batch.forecast().view;
        snapshot_.no_forecast = batch.forecast().why;
        snapshot_.drop = batch.drop_view(now);
        if (!snapshot_.follow) {
            snapshot_.fan.clear();
        } else if (now - fan_drawn_ >= kFanEvery_ms &&
                   (!batch.busy() || now - fan_drawn_ >= 2 * kFanEvery_ms)) {
            snapshot_.fan = fan(*snapshot_.follow);
            fan_drawn_ = now;
        }
    } else {
        snapshot_.moves.clear();
        moves_drawn_.reset();
        snapshot_.fan.clear();
    }
    snapshot_.ready = ready();
    snapshot_.alarms = alarms_.present();
    if (snapshot_.put_aside_notes != alarms_.notes()) snapshot_.put_aside_notes = alarms_.notes();
    snapshot_.alarm_flood = alarms_.flood();
    snapshot_.sounder = alarms_.sounder(now);
    draw_prompts(now);
}

}  // namespace drumwatch

#include "engine/engine.hpp"

#include <algorithm>

namespace drumwatch {

namespace {
constexpr double kCool_c = 40;
constexpr std::int64_t kCooling_ms = 360'000;  // without a tray probe
constexpr std::int64_t kMoveBeforeCharge_ms = 10'000;
constexpr std::int64_t kSoonAfterDrop_ms = 60'000;
constexpr double kFar_c = 25;  // above the limit of overtemperature; judgement
constexpr std::size_t kEventsAtOnce = 64;  // room for one tick's without an allocation

/// A rule whose channel is not there has nothing to judge.
AlarmSettings with_channels(const EngineSettings& settings) {
    AlarmSettings alarms = settings.alarms;
    const auto needs = [&](AlarmRule rule, Role role) {
        if (!find_role(settings.channels, role)) alarms[rule].on = false;
    };
    needs(AlarmRule::exhaust_high, Role::exhaust);
    needs(AlarmRule::inlet_high, Role::inlet);
    needs(AlarmRule::drum_high, Role::drum);
    needs(AlarmRule::flame_out, Role::exhaust);
    needs(AlarmRule::oxidiser_cold, Role::oxidiser);
    needs(AlarmRule::cooling_slow, Role::tray);
    needs(AlarmRule::carbon_monoxide_high, Role::carbon_monoxide);
    needs(AlarmRule::carbon_monoxide, Role::carbon_monoxide);
    return alarms;
}
}  // namespace

Engine::Engine(Begin begin)
    : begin_(std::move(begin)),
      alarms_(with_channels(begin_.settings), begin_.carried.alarms),
      lessons_(begin_.lessons),
      next_roast_(begin_.next_roast),
      cooling_(begin_.carried.cooling),
      last_verdict_(begin_.carried.last_verdict),
      last_drop_(begin_.carried.last_drop),
      empty_since_(begin_.carried.first),
      silent_buses_(begin_.carried.silent_buses),
      health_bad_(begin_.carried.health_bad),
      failed_sounders_(begin_.carried.failed_sounders) {
    for (const Channel& channel : begin_.settings.channels)
        channels_.emplace_back(Validator(channel), Smoother(channel.probe_lag_ms));
    know_heated();
    for (std::size_t role = 0; role < roles_.size(); ++role)
        roles_[role] = find_role(begin_.settings.channels, static_cast<Role>(role));
    events_.reserve(kEventsAtOnce);
    taken_.reserve(kEventsAtOnce);
    if (begin_.target) target_ = std::make_shared<const TargetCurve>(begin_.target);
    snapshot_.watch = begin_.watch;
    snapshot_.target = begin_.target;
    snapshot_.tick = begin_.carried.first - begin_.settings.tick_ms;
    warm_up();
}

/// Nothing is said of it, and no charge is found in it: the watch before would have.
void Engine::warm_up() {
    for (const Frame& frame : begin_.carried.warm_up) {
        take_in(frame);
        watch_moves(frame);
        const BeanTick bean = bean_tick(frame);
        if (bean.fresh && is_good(bean.quality) && charge_.add({bean.tick, bean.raw_c})) charge_.restart();
    }
    events_.clear();
    if (!begin_.carried.warm_up.empty()) late_.stop();
    begin_.carried.warm_up.clear();
}

std::optional<std::int64_t> Engine::empty_ms() const {
    return roasting_ || charge_found_ ? std::nullopt : std::optional(snapshot_.tick - empty_since_);
}

Carried Engine::carry(Tick first) const {
    Carried carried;
    carried.first = first;
    carried.alarms = alarms_.memory();
    carried.cooling = cooling_;
    carried.last_verdict = last_verdict_;
    carried.last_drop = last_drop_;
    carried.silent_buses = silent_buses_;
    carried.health_bad = health_bad_;
    carried.failed_sounders = failed_sounders_;
    return carried;
}

Event& Engine::say(EventKind kind, Tick now, Tick at) {
    Event event;
    event.kind = kind;
    event.tick = now;
    event.at = at;
    event.roast = roasting_ ? batches_[current_].id() : 0;
    events_.push_back(event);
    return events_.back();
}

Event& Engine::say_milestone(EventKind kind, std::uint64_t roast, Milestone milestone,
                             const MilestoneAt& what, Tick now) {
    Event& event = say(kind, now, what.at);
    event.roast = roast;
    event.milestone = milestone;
    event.source = what.source;
    event.value_milli = what.bean_milli.value_or(0);
    event.bad = !what.bean_milli;
    if (what.source == MarkSource::mark) return event;
    event.code = static_cast<std::uint8_t>(what.why.by);
    event.index = what.why.confidence_percent;
    event.limit_milli = what.why.amount_milli;
    return event;
}

const std::vector<Event>& Engine::take_events() {
    taken_.clear();
    taken_.swap(events_);
    return taken_;
}

const Engine::ChannelState* Engine::channel(Role role) const {
    const auto& index = roles_[static_cast<std::size_t>(role)];
    return index ? &channels_[*index] : nullptr;
}

void Engine::observe(const Observation& observation) {
    if (observation.health == Health::gap_unknown) {
        if (roasting_) batches_[current_].lose_time(observation.tick);
    } else if (observation.health == Health::bus_silent) {
        const std::uint32_t bit = 1u << observation.index;
        silent_buses_ = observation.bad ? silent_buses_ | bit : silent_buses_ & ~bit;
    } else if (observation.health == Health::sounder_failed) {
        const std::uint32_t bit = 1u << (observation.index % 32u);
        failed_sounders_ = observation.bad ? failed_sounders_ | bit : failed_sounders_ & ~bit;
        health_bad_ &= ~(1u << static_cast<unsigned>(Health::sounder_failed));
        if (failed_sounders_ != 0) health_bad_ |= 1u << static_cast<unsigned>(Health::sounder_failed);
    } else if (observation.health != Health::sounder_tested) {
        const std::uint32_t bit = 1u << static_cast<unsigned>(observation.health);
        health_bad_ = observation.bad ? health_bad_ | bit : health_bad_ & ~bit;
    }
    Event& event = say(EventKind::health_changed, observation.tick, observation.tick);
    event.health = observation.health;
    event.index = observation.index;
    event.bad = observation.bad;
}

void Engine::note_quality(std::size_t index, Quality quality, Tick now) {
    ChannelState& state = channels_[index];
    if (state.quality == quality) return;
    state.quality = quality;
    rate(index);
    Event& event = say(EventKind::quality_changed, now, now);
    event.index = static_cast<std::int16_t>(index);
    event.value_milli = static_cast<Milli>(quality);
}

void Engine::take_in(const Frame& frame) {
    const std::size_t count = std::min<std::size_t>(frame.channels, channels_.size());
    const auto& bean = roles_[static_cast<std::size_t>(Role::bean)];
    for (std::size_t i = 0; i < count; ++i) {
        const Sample& sample = frame.samples[i];
        ChannelState& state = channels_[i];
        Quality quality = state.validator.judge(sample, frame.tick);
        if (state.heated) quality = beside_others(i, quality, sample, frame.tick);
        if (bean == i) quality = unless_frozen(quality, sample, frame.tick);
        note_quality(i, quality, frame.tick);
        if (has_value(state.quality)) state.value_milli = sample.value_milli;
        const bool celsius = begin_.settings.channels[i].unit == Unit::celsius;
        if (sample.fresh) {
            state.fresh_at = frame.tick;
            state.ever_fresh = true;
            if (celsius && has_value(state.quality)) state.smoother.add(frame.tick, sample.value_milli);
        }
        if (celsius) state.line = state.smoother.at(frame.tick);
    }
    doubt_probes(frame.tick);
    if (++second_phase_ == each_second_) second_phase_ = 0;
}

BeanTick Engine::bean_tick(const Frame& frame) const {
    BeanTick bean;
    bean.tick = frame.tick;
    const auto& index = roles_[static_cast<std::size_t>(Role::bean)];
    if (!index) return bean;
    const ChannelState& state = channels_[*index];
    bean.fresh = frame.samples[*index].fresh;
    bean.quality = state.quality;
    bean.raw_c = from_milli(state.value_milli);
    bean.line = state.line;
    return bean;
}

void Engine::watch_moves(const Frame& frame) {
    for (std::size_t c = 0; c < kControls; ++c) {
        const Role role = c == 0 ? Role::burner : Role::airflow;
        const auto& index = roles_[static_cast<std::size_t>(role)];
        if (!index || !frame.samples[*index].fresh) continue;
        Sample sample = frame.samples[*index];
        sample.quality = channels_[*index].quality;
        const auto made = move_detectors_[c].add(sample, frame.tick);
        if (!made) continue;
        if (recent_moves_.full()) recent_moves_.erase(0);
        recent_moves_.push_back(*made);
        Event& event = say(EventKind::move_made, frame.tick, made->at);
        event.control = made->control;
        event.value_milli = to_milli(made->level).value_or(0);
        if (roasting_) batches_[current_].add_move(*made);
    }
}

/// Whether there is a batch in the drum now that was not before this tick.
bool Engine::find_start(const BeanTick& bean) {
    if (charge_found_) {
        start_charged(*charge_found_, bean.tick);
        return true;
    }
    if (!bean.fresh || !has_value(bean.quality)) return false;
    const BeanPoint point{bean.tick, bean.raw_c};
    if (const auto late = late_.add(point)) {
        start_unseen(*late, bean.tick);
        return roasting_;
    }
    if (roast_too_hot_) {  // what falls from there is no charge
        charge_.restart();
        return false;
    }
    charge_.be_strict(late_.may_roast());
    charge_found_ = charge_.add(point);
    return false;
}

/// Told at the tick after the one that found it: what follows from it has a tick of its own.
void Engine::start_charged(const Found& found, Tick now) {
    start_batch({found.at, to_milli(found.bean_c), MarkSource::detected, found.why}, now);
    for (const MadeMove& made : recent_moves_) {
        if (found.at - made.at <= kMoveBeforeCharge_ms) batches_[current_].add_move(made);
    }
    look_for_charge_anew();
}

/// A person was faster than the curve, or saw what is not there.
void Engine::check_marked_charge(const BeanTick& bean) {
    Batch& batch = batches_[current_];
    if (!batch.awaits_charge(bean.tick) || !bean.fresh || !has_value(bean.quality)) return;
    if (!charge_found_) {
        charge_found_ = charge_.add({bean.tick, bean.raw_c});
        return;
    }
    batch.detect_charge(*charge_found_);
    look_for_charge_anew();
    say_disagreement(Milestone::charge, bean.tick);
}

/// As in a fire; an emptied drum is hotter than its coffee was, but not so far above the limit, and it does
/// not run away.
bool Engine::far_too_hot(const BeanTick& bean) const {
    const bool of_roast = roasting_ || (last_drop_ && bean.tick - *last_drop_ < kSoonAfterDrop_ms);
    const double limit_c =
        begin_.settings.alarms.rules[static_cast<std::size_t>(AlarmRule::bean_high_high)].limit;
    return of_roast && (alarms_[AlarmRule::runaway_rise].holds || bean.raw_c > limit_c + kFar_c);
}

void Engine::follow_drum(const BeanTick& bean, const Frame& frame) {
    const bool too_hot = alarms_[AlarmRule::bean_high_high].holds;
    roast_too_hot_ = too_hot && (far_too_hot(bean) || roast_too_hot_);
    if (!roasting_ && last_alive_ && batches_[current_].doubt_drop(bean)) take_back_drop(bean.tick);
    if (roasting_) {
        check_marked_charge(bean);
    } else if (!find_start(bean)) {
        return;
    }
    ControlLevels levels;
    for (std::size_t c = 0; c < kControls; ++c) levels[c] = move_detectors_[c].level();
    Batch& batch = batches_[current_];
    FixedList<MoveJudgement, kMaxMoves> before;
    for (const MoveView& move : batch.moves()) before.push_back(move.judgement);
    bool dropped = false;
    const bool turned = batch.detected(Milestone::turning_point).has_value();
    const auto found =
        batch.step(bean, levels, {alarms_[AlarmRule::runaway_rise].holds, alarms_[AlarmRule::stall].holds});
    if (!turned && batch.detected(Milestone::turning_point))
        say_disagreement(Milestone::turning_point, frame.tick);
    for (const Milestone milestone : found) {
        const auto& what = *batch.milestones()[static_cast<std::size_t>(milestone)];
        say_milestone(EventKind::milestone_set, batch.id(), milestone, what, frame.tick);
        dropped = dropped || milestone == Milestone::drop;
    }
    for (std::size_t i = 0; i < batch.moves().size(); ++i) {
        const MoveView& move = batch.moves()[i];
        const bool news = i >= before.size() || before[i] != move.judgement;
        if (!news || move.judgement == MoveJudgement::waiting) continue;
        Event& event = say(EventKind::move_judged, frame.tick, frame.tick);
        event.control = move.control;
        event.index = move.planned;
        event.code = static_cast<std::uint8_t>(move.judgement);
        event.value_milli = to_milli(move.error_s.value_or(0)).value_or(0);
        event.bad = !move.error_s;
    }
    if (dropped) {
        drop_batch(frame.tick);
    } else if (const auto risen_c = batch.doubted_charge()) {
        withdraw_doubted(*risen_c, frame.tick);
    }
}

void Engine::end_cooling(Tick now) {
    if (!cooling_) return;
    cooling_->tray_c.reset();
    const auto* tray = channel(Role::tray);
    if (tray && is_good(tray->quality)) cooling_->tray_c = from_milli(tray->value_milli);
    const bool cold = cooling_->tray_c ? *cooling_->tray_c < kCool_c && now - cooling_->since > 30'000
                                       : now - cooling_->since >= kCooling_ms;
    if (!cold) return;
    Event& event = say(EventKind::cooling_ended, now, now);
    event.roast = cooling_->id;
    event.value_milli = to_milli(cooling_->tray_c.value_or(0)).value_or(0);
    cooling_.reset();
}

const Snapshot& Engine::step(const Frame& frame) {
    take_in(frame);
    watch_moves(frame);
    follow_drum(bean_tick(frame), frame);
    sound_alarms(frame.tick);
    end_cooling(frame.tick);
    draw(frame.tick);
    return snapshot_;
}

Refusal Engine::apply(const Command& command) {
    Refusal refusal = Refusal::none;
    switch (command.kind) {
        case CommandKind::mark:
            refusal = mark(command);
            break;
        case CommandKind::withdraw_mark:
            refusal = withdraw(command);
            break;
        case CommandKind::choose_target:
            refusal = choose_target(command);
            break;
        case CommandKind::acknowledge:
            refusal = alarms_.acknowledge(command.occurrence, command.tick);
            break;
        case CommandKind::reset:
            refusal = alarms_.reset(command.occurrence);
            break;
        case CommandKind::silence:
            alarms_.silence(command.tick);
            break;
        case CommandKind::shelve:
        case CommandKind::unshelve:
        case CommandKind::out_of_service:
        case CommandKind::return_to_service:
            refusal = put_aside(command);
            break;
        case CommandKind::made_move:
            refusal = made_move(command);
            break;
        case CommandKind::retime_move:
            refusal = retime_move(command);
            break;
        case CommandKind::not_a_charge:
            refusal = give_up(command, EventKind::roast_withdrawn);
            break;
        case CommandKind::abort_roast:
            refusal = give_up(command, EventKind::roast_aborted);
            break;
    }
    if (refusal != Refusal::none) {
        Event& event = say(EventKind::command_refused, command.tick, command.tick);
        event.code = static_cast<std::uint8_t>(refusal);
        event.index = static_cast<std::int16_t>(command.kind);
        if (command.kind == CommandKind::mark || command.kind == CommandKind::withdraw_mark)
            event.milestone = command.milestone;
        if (command.kind == CommandKind::mark) event.at = std::min(command.at, command.tick);
        if (command.kind == CommandKind::made_move || command.kind == CommandKind::retime_move)
            event.control = command.control;
        return refusal;
    }
    say_alarm_act(command);
    return refusal;
}

}  // namespace drumwatch

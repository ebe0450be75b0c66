// What the alarms are judged by, and what people do to them.
#include <algorithm>

#include "engine/engine.hpp"

namespace drumwatch {

ProbeInput Engine::probe(Role role, Tick now) const {
    const ChannelState* state = channel(role);
    if (!state) return {};
    return {true, state->quality, state->value_milli, state->ever_fresh && state->fresh_at == now};
}

RoastInput Engine::roast_input(Tick now, bool all) const {
    const Batch& batch = batches_[current_];
    RoastInput roast;
    roast.stands_unexplained = bean_still_.unexplained();
    if (batch.target()) roast.target_end_c = batch.target()->end_c();
    const auto& follow = batch.follow_view();
    const bool judged = follow && follow->judged_now;
    if (judged) {
        roast.deviation_c = follow->deviation_c;
        roast.corridor_c = follow->corridor_c;
        roast.tolerance_c = batch.target()->target().tolerance.bean_c;
    }
    roast.rise_per_min = batch.rise_per_min();
    if (!all) return roast;
    roast.stands_still = bean_still_.doubtful();
    if (judged && roast.rise_per_min && follow->rise_deviation_per_min)
        roast.target_rise_per_min = *roast.rise_per_min - *follow->rise_deviation_per_min;
    const auto since = [&](Milestone milestone) -> std::optional<double> {
        const auto& at = batch.milestones()[static_cast<std::size_t>(milestone)];
        return at ? std::optional(seconds_between(at->at, now)) : std::nullopt;
    };
    roast.since_turning_s = since(Milestone::turning_point);
    roast.since_crack_s = since(Milestone::first_crack);
    roast.yellow_passed = since(Milestone::yellow).has_value();
    roast.burner = move_detectors_[static_cast<std::size_t>(Control::burner)].level();
    if (!recent_moves_.empty()) roast.since_move_s = seconds_between(recent_moves_.back().at, now);
    if (const auto* exhaust = channel(Role::exhaust)) {
        if (const auto& line = exhaust->line) roast.exhaust_rise_per_min = line->per_second * 60;
    }
    return roast;
}

AlarmInputs Engine::alarm_inputs(Tick now) const {
    AlarmInputs inputs;
    const auto bad = [&](Health health) {
        return ((health_bad_ >> static_cast<unsigned>(health)) & 1u) != 0;
    };
    const bool all = alarms_.judges_all(now, roasting_);
    inputs.silent_buses = static_cast<std::uint16_t>(silent_buses_);
    inputs.bean_buses = begin_.settings.bean_buses;
    inputs.failed_sounders = static_cast<std::uint16_t>(failed_sounders_);
    inputs.record_failing = bad(Health::record_failing);
    inputs.disk_low = bad(Health::disk_low);
    inputs.clock_unsynchronised = bad(Health::clock_unsynchronised);
    inputs.clock_stepped = bad(Health::clock_stepped);
    inputs.processor_hot = bad(Health::processor_hot);
    inputs.silent_channels = silent_channels_;
    inputs.faulty_channels = faulty_channels_;
    add_probes(inputs, now, all);
    if (cooling_) inputs.cooling_s = seconds_between(cooling_->since, now);
    inputs.roasting = roasting_;
    if (roasting_) inputs.roast = roast_input(now, all);
    return inputs;
}

/// Only those that some rule judges at this tick.
void Engine::add_probes(AlarmInputs& inputs, Tick now, bool all) const {
    const AlarmSettings& settings = begin_.settings.alarms;
    inputs.bean = probe(Role::bean, now);
    inputs.carbon_monoxide = probe(Role::carbon_monoxide, now);
    if (settings[AlarmRule::exhaust_high].on) inputs.exhaust = probe(Role::exhaust, now);
    if (settings[AlarmRule::inlet_high].on) inputs.inlet = probe(Role::inlet, now);
    if (settings[AlarmRule::drum_high].on) inputs.drum = probe(Role::drum, now);
    if (!all) return;
    inputs.exhaust = probe(Role::exhaust, now);
    inputs.tray = probe(Role::tray, now);
    inputs.oxidiser = probe(Role::oxidiser, now);
    inputs.ambient = probe(Role::ambient, now);
}

/// A batch that cools in the tray has its own alarm, whatever is in the drum.
std::uint64_t Engine::roast_of(AlarmRule rule) const {
    if (rule == AlarmRule::cooling_slow && cooling_) return cooling_->id;
    return roasting_ ? batches_[current_].id() : 0;
}

void Engine::sound_alarms(Tick now) {
    for (Event event : alarms_.round(now, alarm_inputs(now))) {
        event.roast = event.kind == EventKind::alarms_flood ? 0 : roast_of(event.rule);
        events_.push_back(event);
    }
}

Refusal Engine::put_aside(const Command& command) {
    switch (command.kind) {
        case CommandKind::shelve:
            return command.text.empty() ? Refusal::no_reason
                                        : alarms_.shelve(command.rule, command.shelve_ms, command.tick);
        case CommandKind::unshelve:
            return alarms_.unshelve(command.rule);
        case CommandKind::out_of_service:
            return command.text.empty() ? Refusal::no_reason
                                        : alarms_.take_out(command.rule, roasting_, command.tick);
        case CommandKind::return_to_service:
            return alarms_.put_back(command.rule);
        default:
            return Refusal::none;
    }
}

/// What a person did to an alarm, once it is done.
void Engine::say_alarm_act(const Command& command) {
    const auto told = [&](EventKind kind) -> Event& { return say(kind, command.tick, command.tick); };
    const auto told_of_rule = [&](EventKind kind) -> Event& {
        Event& event = told(kind);
        const AlarmMemory& alarm = alarms_[command.rule];
        event.rule = command.rule;
        event.roast = roast_of(command.rule);
        event.occurrence = alarm.holds ? alarm.occurrence : 0;
        event.priority = alarm.judged.priority;
        return event;
    };
    const bool aside = command.kind == CommandKind::shelve || command.kind == CommandKind::out_of_service;
    if (aside) alarms_.keep_note(command.rule, {command.who, command.text});
    switch (command.kind) {
        case CommandKind::acknowledge:
            told(EventKind::alarm_acknowledged).occurrence = command.occurrence;
            break;
        case CommandKind::reset:
            told(EventKind::alarm_reset).occurrence = command.occurrence;
            break;
        case CommandKind::silence:
            told(EventKind::alarms_silenced);
            break;
        case CommandKind::shelve:
            told_of_rule(EventKind::alarm_shelved).value_milli = static_cast<Milli>(command.shelve_ms);
            break;
        case CommandKind::unshelve:
            told_of_rule(EventKind::alarm_unshelved).code = static_cast<std::uint8_t>(Unshelved::by_person);
            break;
        case CommandKind::out_of_service:
            told_of_rule(EventKind::alarm_out_of_service);
            break;
        case CommandKind::return_to_service:
            told_of_rule(EventKind::alarm_returned_to_service);
            break;
        default:
            break;
    }
}

}  // namespace drumwatch

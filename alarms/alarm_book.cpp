#include "alarms/alarm_book.hpp"

#include <algorithm>

#include "alarms/pattern.hpp"

namespace drumwatch {

namespace {

bool is_active(AlarmState state) {
    return state == AlarmState::unacknowledged || state == AlarmState::acknowledged;
}

bool is_latched(AlarmState state) {
    return state == AlarmState::latched_unacknowledged || state == AlarmState::latched_acknowledged;
}

bool is_present(AlarmState state) { return state != AlarmState::unknown && state != AlarmState::normal; }

bool sounds(AlarmState state) {
    return state == AlarmState::unacknowledged || state == AlarmState::latched_unacknowledged;
}

Pattern pattern_of(Priority priority) {
    switch (priority) {
        case Priority::high:
            return Pattern::high;
        case Priority::medium:
            return Pattern::medium;
        case Priority::low:
            return Pattern::low;
    }
    return Pattern::off;
}

Event edge(EventKind kind, AlarmRule rule, std::uint64_t occurrence, Tick now, Tick at,
           const Judgement& judged) {
    Event event;
    event.tick = now;
    event.kind = kind;
    event.at = at;
    event.rule = rule;
    event.occurrence = occurrence;
    event.priority = judged.priority;
    event.value_milli = judged.value_milli;
    event.limit_milli = judged.limit_milli;
    event.index = static_cast<std::int16_t>(judged.members);
    return event;
}

}  // namespace

AlarmBookMemory after_restart(const AlarmBookMemory& before, const AlarmSettings& settings, Tick now) {
    AlarmBookMemory after;
    after.occurrences = before.occurrences;
    for (std::size_t i = 0; i < kAlarmRules; ++i) {
        const AlarmMemory& alarm = before.alarms[i];
        if (!settings.rules[i].latches || !(is_active(alarm.state) || is_latched(alarm.state))) continue;
        const bool seen =
            alarm.state == AlarmState::acknowledged || alarm.state == AlarmState::latched_acknowledged;
        after.alarms[i] = alarm;
        after.alarms[i].state = seen ? AlarmState::latched_acknowledged : AlarmState::latched_unacknowledged;
        after.alarms[i].since = now;
        after.alarms[i].pending = false;
    }
    return after;
}

void AlarmBook::raise(AlarmRule rule, Alarm& alarm, Tick now, Edges& edges) {
    alarm.state = AlarmState::unacknowledged;
    alarm.occurrence = ++memory_.occurrences;
    alarm.silenced = false;
    alarm.since = now;
    edges.push_back(
        edge(EventKind::alarm_raised, rule, alarm.occurrence, now, alarm.pending_since, alarm.judged));
}

void AlarmBook::end(AlarmRule rule, Alarm& alarm, Tick now, Edges& edges) {
    const bool seen = alarm.state == AlarmState::acknowledged;
    if (settings_[rule].latches) {
        alarm.state = seen ? AlarmState::latched_acknowledged : AlarmState::latched_unacknowledged;
    } else {
        alarm.state = seen ? AlarmState::normal : AlarmState::returned_unacknowledged;
    }
    edges.push_back(edge(EventKind::alarm_cleared, rule, alarm.occurrence, now, now, alarm.judged));
}

void AlarmBook::step(AlarmRule rule, Alarm& alarm, const Judgement& judged, Tick now, Edges& edges) {
    if (judged.condition == Condition::blind) return;
    const bool active = is_active(alarm.state);
    if (active && (judged.condition == Condition::active || judged.condition == Condition::between)) {
        // What it was stays to be read once it is over. A condition that grows graver is said at once; it
        // never grows milder while it lasts.
        alarm.judged.priority = std::min(alarm.judged.priority, judged.priority);
        alarm.judged.value_milli = judged.value_milli;
        alarm.judged.limit_milli = judged.limit_milli;
        alarm.judged.members = static_cast<std::uint16_t>(alarm.judged.members | judged.members);
    }
    if (judged.condition == Condition::suppressed) {
        alarm.pending = false;
        if (active) end(rule, alarm, now, edges);
        if (alarm.state == AlarmState::unknown) alarm.state = AlarmState::normal;
        return;
    }
    const bool towards =
        active ? judged.condition == Condition::clear : judged.condition == Condition::active;
    if (!towards) {
        alarm.pending = false;
        if (alarm.state == AlarmState::unknown) alarm.state = AlarmState::normal;
        return;
    }
    if (!alarm.pending) {
        alarm.pending = true;
        alarm.pending_since = now;
    }
    const RuleSettings& settings = settings_[rule];
    if (now - alarm.pending_since < (active ? settings.off_delay_ms : settings.on_delay_ms)) return;
    alarm.pending = false;
    if (active) {
        end(rule, alarm, now, edges);
    } else {
        alarm.judged = judged;
        raise(rule, alarm, now, edges);
    }
}

AlarmBook::Edges AlarmBook::round(Tick now, const AlarmInputs& inputs) {
    Edges edges;
    const auto judged = judge_rules(settings_, inputs);
    for (std::size_t i = 0; i < kAlarmRules; ++i)
        step(static_cast<AlarmRule>(i), memory_.alarms[i], judged[i], now, edges);
    const Pattern before = memory_.sounding;
    memory_.sounding = Pattern::off;
    for (const Alarm& alarm : memory_.alarms) {
        if (!sounds(alarm.state) || alarm.silenced) continue;
        const Pattern pattern = pattern_of(alarm.judged.priority);
        if (memory_.sounding == Pattern::off || pattern < memory_.sounding) memory_.sounding = pattern;
    }
    if (memory_.sounding != before) memory_.sounding_since = now;
    return edges;
}

AlarmBook::Alarm* AlarmBook::find(std::uint64_t occurrence) {
    for (Alarm& alarm : memory_.alarms) {
        if (alarm.occurrence == occurrence && is_present(alarm.state)) return &alarm;
    }
    return nullptr;
}

Refusal AlarmBook::acknowledge(std::uint64_t occurrence) {
    if (occurrence == 0 || occurrence > memory_.occurrences) return Refusal::unknown_occurrence;
    Alarm* alarm = find(occurrence);
    if (!alarm) return Refusal::not_active;
    switch (alarm->state) {
        case AlarmState::unacknowledged:
            alarm->state = AlarmState::acknowledged;
            break;
        case AlarmState::returned_unacknowledged:
            alarm->state = AlarmState::normal;
            break;
        case AlarmState::latched_unacknowledged:
            alarm->state = AlarmState::latched_acknowledged;
            break;
        default:
            break;  // a second tap changes nothing
    }
    return Refusal::none;
}

Refusal AlarmBook::reset(std::uint64_t occurrence) {
    if (occurrence == 0 || occurrence > memory_.occurrences) return Refusal::unknown_occurrence;
    Alarm* alarm = find(occurrence);
    if (!alarm) return Refusal::not_active;
    if (is_active(alarm->state)) return Refusal::still_active;
    alarm->state = AlarmState::normal;
    return Refusal::none;
}

void AlarmBook::silence() {
    for (Alarm& alarm : memory_.alarms) alarm.silenced = alarm.silenced || is_present(alarm.state);
}

FixedList<AlarmView, kAlarmRules> AlarmBook::present() const {
    FixedList<AlarmView, kAlarmRules> views;
    for (std::size_t i = 0; i < kAlarmRules; ++i) {
        const Alarm& alarm = memory_.alarms[i];
        if (!is_present(alarm.state)) continue;
        views.push_back({alarm.occurrence, static_cast<AlarmRule>(i), alarm.judged.priority, alarm.state,
                         alarm.silenced, alarm.since, alarm.judged.value_milli, alarm.judged.limit_milli,
                         alarm.judged.members});
    }
    std::sort(views.begin(), views.end(), [](const AlarmView& a, const AlarmView& b) {
        return a.priority != b.priority ? a.priority < b.priority : a.occurrence < b.occurrence;
    });
    return views;
}

SounderView AlarmBook::sounder(Tick now) const {
    SounderView view;
    view.pattern = memory_.sounding;
    view.on = pulse(memory_.sounding, now - memory_.sounding_since);
    for (const Alarm& alarm : memory_.alarms)
        view.silenced = view.silenced || (sounds(alarm.state) && alarm.silenced);
    return view;
}

bool AlarmBook::safety_relevant_active() const {
    const Alarm& bus = (*this)[AlarmRule::bus_silent];
    return is_active((*this)[AlarmRule::bean_high_high].state) ||
           is_active((*this)[AlarmRule::bean_probe_fault].state) ||
           (is_active(bus.state) && bus.judged.priority == Priority::high);
}

bool AlarmBook::high_present() const {
    return std::any_of(memory_.alarms.begin(), memory_.alarms.end(), [](const Alarm& alarm) {
        return is_present(alarm.state) && alarm.judged.priority == Priority::high;
    });
}

}  // namespace drumwatch

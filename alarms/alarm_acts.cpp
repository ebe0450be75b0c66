// What a person does to alarms, what outlives a restart, and what is seen and heard of them.
#include <algorithm>

#include "alarms/alarm_book.hpp"
#include "alarms/pattern.hpp"
#include "alarms/rule_traits.hpp"

namespace drumwatch {

namespace {

bool is_active(AlarmState state) {
    return state == AlarmState::unacknowledged || state == AlarmState::acknowledged;
}

bool is_latched(AlarmState state) {
    return state == AlarmState::latched_unacknowledged || state == AlarmState::latched_acknowledged;
}

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

/// What is suppressed for the time of the day only is no news to anyone.
bool is_listed(const AlarmMemory& alarm) {
    if (alarm.state == AlarmState::suppressed)
        return alarm.suppressed_by == SuppressedBy::probe_fault ||
               alarm.suppressed_by == SuppressedBy::higher_alarm;
    return is_present(alarm.state) || is_put_aside(alarm.state);
}

AlarmMemory kept_latched(const AlarmMemory& before, Tick now) {
    const bool seen =
        before.state == AlarmState::acknowledged || before.state == AlarmState::latched_acknowledged;
    AlarmMemory after = before;
    after.state = seen ? AlarmState::latched_acknowledged : AlarmState::latched_unacknowledged;
    after.since = after.attended = now;
    after.pending = after.holds = false;
    return after;
}

}  // namespace

AlarmBookMemory after_restart(const AlarmBookMemory& before, const AlarmSettings& settings, Tick now) {
    AlarmBookMemory after;
    after.occurrences = before.occurrences;
    for (std::size_t i = 0; i < kAlarmRules; ++i) {
        const AlarmMemory& alarm = before.alarms[i];
        if (alarm.state == AlarmState::out_of_service) {
            after.alarms[i].state = alarm.state;
            after.alarms[i].since = now;
            after.notes = before.notes;
        } else if (settings.rules[i].latches && (is_active(alarm.state) || is_latched(alarm.state))) {
            after.alarms[i] = kept_latched(alarm, now);
        }
    }
    return after;
}

AlarmBook::Alarm* AlarmBook::find(std::uint64_t occurrence) {
    for (Alarm& alarm : memory_.alarms) {
        if (alarm.occurrence == occurrence && is_present(alarm.state)) return &alarm;
    }
    return nullptr;
}

Refusal AlarmBook::acknowledge(std::uint64_t occurrence, Tick now) {
    if (occurrence == 0 || occurrence > memory_.occurrences) return Refusal::unknown_occurrence;
    Alarm* alarm = find(occurrence);
    if (!alarm) return Refusal::not_active;
    const auto next = after(alarm->state, AlarmAct::acknowledge, {});
    if (!next) return Refusal::none;  // a second tap changes nothing
    alarm->state = *next;
    alarm->attended = now;
    note(static_cast<std::size_t>(alarm - memory_.alarms.data()));
    return Refusal::none;
}

Refusal AlarmBook::reset(std::uint64_t occurrence) {
    if (occurrence == 0 || occurrence > memory_.occurrences) return Refusal::unknown_occurrence;
    Alarm* alarm = find(occurrence);
    if (!alarm) return Refusal::not_active;
    if (is_active(alarm->state)) return Refusal::still_active;
    const auto next = after(alarm->state, AlarmAct::reset, {});
    if (!next) return Refusal::not_acknowledged;
    alarm->state = *next;
    note(static_cast<std::size_t>(alarm - memory_.alarms.data()));
    return Refusal::none;
}

void AlarmBook::silence(Tick now) {
    for (Alarm& alarm : memory_.alarms) {
        if (!is_present(alarm.state)) continue;
        if (!alarm.silenced) alarm.attended = now;
        alarm.silenced = true;
    }
}

Refusal AlarmBook::shelve(AlarmRule rule, std::int64_t for_ms, Tick now) {
    Alarm& shelved = alarm(rule);
    if (guards(rule)) return Refusal::not_shelvable;
    if (for_ms <= 0 || for_ms > kShelfAtMost_ms) return Refusal::too_long;
    if (is_latched(shelved.state)) return Refusal::latched_first;
    if (shelved.state != AlarmState::shelved) {
        const auto next = after(shelved.state, AlarmAct::shelve, nature(rule));
        if (!next) return Refusal::already_so;
        shelved.state = *next;
        shelved.since = now;
        note(static_cast<std::size_t>(rule));
    }
    shelved.until = now + for_ms;
    return Refusal::none;
}

/// At the next round, which tells it.
Refusal AlarmBook::unshelve(AlarmRule rule) {
    Alarm& shelved = alarm(rule);
    const auto next = after(shelved.state, AlarmAct::unshelve, nature(rule));
    if (!next) return Refusal::not_shelved;
    shelved.state = *next;
    shelved.came_back = true;
    note(static_cast<std::size_t>(rule));
    return Refusal::none;
}

void AlarmBook::end_batch() {
    for (Alarm& alarm : memory_.alarms) alarm.until = {};
}

bool AlarmBook::stays_in_service(AlarmRule rule, bool roasting) const {
    return always_in_service(rule) || (guards(rule) && roasting);
}

Refusal AlarmBook::take_out(AlarmRule rule, bool roasting, Tick now) {
    if (stays_in_service(rule, roasting)) return Refusal::stays_in_service;
    Alarm& taken = alarm(rule);
    const auto next = after(taken.state, AlarmAct::take_out, nature(rule));
    if (!next) return Refusal::already_so;
    taken.state = *next;
    taken.since = now;
    note(static_cast<std::size_t>(rule));
    return Refusal::none;
}

Refusal AlarmBook::put_back(AlarmRule rule) {
    Alarm& taken = alarm(rule);
    const auto next = after(taken.state, AlarmAct::put_back, nature(rule));
    if (!next) return Refusal::not_out_of_service;
    taken.state = *next;
    taken.came_back = true;
    note(static_cast<std::size_t>(rule));
    return Refusal::none;
}

void AlarmBook::keep_note(AlarmRule rule, PutAsideNote note) {
    auto notes = std::make_shared<PutAsideNotes>(memory_.notes ? *memory_.notes : PutAsideNotes{});
    (*notes)[static_cast<std::size_t>(rule)] = std::move(note);
    memory_.notes = std::move(notes);
}

AlarmView AlarmBook::view_of(AlarmRule rule) const {
    const Alarm& alarm = (*this)[rule];
    const auto goes = [&](AlarmAct act) { return after(alarm.state, act, nature(rule)).has_value(); };
    return {alarm.occurrence,
            rule,
            alarm.judged.priority,
            alarm.state,
            alarm.silenced,
            alarm.since,
            alarm.judged.value_milli,
            alarm.judged.limit_milli,
            alarm.judged.members,
            alarm.first,
            alarm.suppressed_by,
            alarm.until,
            !guards(rule) && (alarm.state == AlarmState::shelved || goes(AlarmAct::shelve)),
            !stays_in_service(rule, memory_.roasting) && goes(AlarmAct::take_out)};
}

FixedList<AlarmView, kAlarmRules> AlarmBook::present() const {
    FixedList<AlarmView, kAlarmRules> views;
    if (calm()) return views;
    for (std::size_t i = 0; i < kAlarmRules; ++i) {
        if (is_listed(memory_.alarms[i])) views.push_back(view_of(static_cast<AlarmRule>(i)));
    }
    std::sort(views.begin(), views.end(), [](const AlarmView& a, const AlarmView& b) {
        if (is_put_aside(a.state) != is_put_aside(b.state)) return is_put_aside(b.state);
        if (a.priority != b.priority) return a.priority < b.priority;
        return a.occurrence != b.occurrence ? a.occurrence < b.occurrence : a.rule < b.rule;
    });
    return views;
}

void AlarmBook::choose_pattern(Tick now) {
    const Pattern before = memory_.sounding;
    memory_.sounding = Pattern::off;
    for (const Alarm& alarm : memory_.alarms) {
        if (!sounds(alarm.state) || alarm.silenced) continue;
        const Pattern pattern = pattern_of(alarm.judged.priority);
        if (memory_.sounding == Pattern::off || pattern < memory_.sounding) memory_.sounding = pattern;
    }
    if (memory_.sounding != before) memory_.sounding_since = now;
}

SounderView AlarmBook::sounder(Tick now) const {
    SounderView view;
    if (calm()) return view;
    view.pattern = memory_.sounding;
    view.on = pulse(memory_.sounding, now - memory_.sounding_since);
    for (const Alarm& alarm : memory_.alarms)
        view.silenced = view.silenced || (sounds(alarm.state) && alarm.silenced);
    return view;
}

bool AlarmBook::safety_relevant_active() const {
    if (calm()) return false;
    for (std::size_t i = 0; i < kAlarmRules; ++i) {
        const auto rule = static_cast<AlarmRule>(i);
        const Alarm& alarm = memory_.alarms[i];
        const bool blind = rule == AlarmRule::bus_silent && alarm.judged.priority == Priority::high;
        if (alarm.holds && (withholds_prompts(rule) || blind)) return true;
    }
    return false;
}

bool AlarmBook::high_present() const {
    if (calm()) return false;
    return std::any_of(memory_.alarms.begin(), memory_.alarms.end(), [](const Alarm& alarm) {
        return is_present(alarm.state) && alarm.judged.priority == Priority::high;
    });
}

}  // namespace drumwatch

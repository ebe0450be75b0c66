#include "alarms/alarm_book.hpp"

#include <algorithm>
#include <bit>

#include "alarms/rule_traits.hpp"

namespace drumwatch {

namespace {

/// What is said when it begins and ends: others come with every charge and drop.
bool is_told(SuppressedBy why) {
    return why == SuppressedBy::probe_fault || why == SuppressedBy::higher_alarm;
}

constexpr std::int64_t kAllEvery_ms = 1'000;

/// Normal, or suppressed for the time of the day only.
bool is_unseen(const AlarmMemory& alarm) {
    return alarm.state == AlarmState::normal || alarm.state == AlarmState::unknown ||
           (alarm.state == AlarmState::suppressed && !is_told(alarm.suppressed_by));
}

/// Nothing has begun, nothing can end.
bool rests(const AlarmMemory& alarm, const Judgement& judged) {
    if (alarm.pending || alarm.holds || alarm.bad_readings != 0) return false;
    if (alarm.state == AlarmState::suppressed)
        return judged.condition == Condition::suppressed && judged.suppressed_by == alarm.suppressed_by;
    const bool nothing_new =
        judged.condition != Condition::active && judged.condition != Condition::suppressed;
    return nothing_new && (alarm.state == AlarmState::normal ||
                           (alarm.state == AlarmState::unknown && judged.condition == Condition::blind));
}

}  // namespace

Event& AlarmBook::say(const Turn& turn, EventKind kind, Tick at) {
    Event event;
    event.tick = turn.now;
    event.kind = kind;
    event.at = at;
    event.rule = turn.rule;
    event.occurrence = turn.alarm.occurrence;
    event.priority = turn.alarm.judged.priority;
    event.value_milli = turn.alarm.judged.value_milli;
    event.limit_milli = turn.alarm.judged.limit_milli;
    event.index = static_cast<std::int16_t>(turn.alarm.judged.members);
    turn.edges.push_back(event);
    return turn.edges.back();
}

bool AlarmBook::move(const Turn& turn, AlarmAct act) {
    const auto next = after(turn.alarm.state, act, {turn.settings.latches, turn.alarm.holds});
    if (next) turn.alarm.state = *next;
    return next.has_value();
}

void AlarmBook::raise(const Turn& turn) {
    Alarm& alarm = turn.alarm;
    alarm.occurrence = ++memory_.occurrences;
    alarm.silenced = false;
    alarm.since = turn.now;
    alarm.attended = turn.now;
    memory_.onsets.add(turn.now.ms);
    say(turn, EventKind::alarm_raised, alarm.pending_since);
}

void AlarmBook::onset(const Turn& turn) {
    Alarm& alarm = turn.alarm;
    alarm.holds = true;
    alarm.judged = turn.judged;
    const std::uint16_t first = alarm.pending_members != 0 ? alarm.pending_members : turn.judged.members;
    alarm.first = first == 0 ? std::int8_t{-1} : static_cast<std::int8_t>(std::countr_zero(first));
    if (move(turn, AlarmAct::onset)) raise(turn);
}

void AlarmBook::clear(const Turn& turn) {
    turn.alarm.holds = false;
    if (move(turn, AlarmAct::clear)) say(turn, EventKind::alarm_cleared, turn.alarm.pending_since);
}

/// Where it is only not its time, an alarm that was raised ends first, and is seen to have ended. One that
/// latches always does: a fire that burns the probe away must not take the overtemperature with it.
void AlarmBook::hold_back(const Turn& turn) {
    Alarm& alarm = turn.alarm;
    const SuppressedBy why = turn.judged.suppressed_by;
    if (alarm.holds && (!is_told(why) || turn.settings.latches)) {
        alarm.pending_since = turn.now;
        clear(turn);
    }
    alarm.holds = false;
    alarm.pending = false;
    alarm.bad_readings = 0;
    const bool told = alarm.state == AlarmState::suppressed && is_told(alarm.suppressed_by);
    const bool in_sight = alarm.state == AlarmState::returned_unacknowledged;
    if (alarm.state != AlarmState::suppressed && (in_sight && !is_told(why))) return;
    if (alarm.state != AlarmState::suppressed && !move(turn, AlarmAct::suppress)) return;
    if (alarm.suppressed_by == why && told == is_told(why)) return;
    alarm.suppressed_by = why;
    alarm.since = turn.now;
    if (is_told(why)) {
        alarm.judged = turn.judged;
        say(turn, EventKind::alarm_suppressed, turn.now).code = static_cast<std::uint8_t>(why);
    } else if (told) {
        say(turn, EventKind::alarm_released, turn.now);
    }
}

void AlarmBook::release(const Turn& turn) {
    if (turn.alarm.state != AlarmState::suppressed) return;
    move(turn, AlarmAct::release);
    if (is_told(turn.alarm.suppressed_by)) say(turn, EventKind::alarm_released, turn.now);
    turn.alarm.suppressed_by = SuppressedBy::nothing;
}

bool AlarmBook::enough_bad_readings(const Turn& turn) {
    const unsigned of = turn.settings.of_readings;
    if (of == 0 || turn.alarm.holds) return false;
    if (turn.judged.fresh) {
        const unsigned bad = turn.judged.condition == Condition::active ? 1u : 0u;
        turn.alarm.bad_readings =
            static_cast<std::uint8_t>((unsigned{turn.alarm.bad_readings} << 1 | bad) & ((1u << of) - 1));
    }
    return std::popcount(turn.alarm.bad_readings) >= turn.settings.bad_readings;
}

/// The condition against its delays.
void AlarmBook::weigh(const Turn& turn) {
    Alarm& alarm = turn.alarm;
    const Judgement& judged = turn.judged;
    if (alarm.holds && (judged.condition == Condition::active || judged.condition == Condition::between)) {
        // What it was stays to be read once it is over. A condition that grows graver is said at once; it
        // never grows milder while it lasts.
        alarm.judged.priority = std::min(alarm.judged.priority, judged.priority);
        alarm.judged.value_milli = judged.value_milli;
        alarm.judged.limit_milli = judged.limit_milli;
        alarm.judged.members = static_cast<std::uint16_t>(alarm.judged.members | judged.members);
    }
    const bool enough = enough_bad_readings(turn);
    const bool towards = judged.condition == (alarm.holds ? Condition::clear : Condition::active);
    if (!towards && !enough) {
        alarm.pending = false;
        if (alarm.state == AlarmState::unknown) alarm.state = AlarmState::normal;
        return;
    }
    if (!alarm.pending) {
        alarm.pending = true;
        alarm.pending_since = turn.now;
        alarm.pending_members = judged.members;
    }
    const std::int64_t long_ms = std::max(turn.now - alarm.pending_since, alarm.holds ? 0 : judged.held_ms);
    if (!enough && long_ms < (alarm.holds ? turn.settings.off_delay_ms : turn.settings.on_delay_ms)) return;
    if (judged.doubted && !alarm.holds) return;
    alarm.pending = false;
    alarm.bad_readings = 0;
    if (alarm.holds) {
        clear(turn);
    } else {
        onset(turn);
    }
}

void AlarmBook::watch_shelf(const Turn& turn) {
    Alarm& alarm = turn.alarm;
    if (alarm.came_back && alarm.state == AlarmState::unacknowledged) raise(turn);
    alarm.came_back = false;
    if (alarm.state != AlarmState::shelved || turn.now < alarm.until) return;
    const bool batch = alarm.until == Tick{};
    move(turn, AlarmAct::timer);
    say(turn, EventKind::alarm_unshelved, turn.now).code =
        static_cast<std::uint8_t>(batch ? Unshelved::batch_over : Unshelved::time_over);
    alarm.pending_since = turn.now;
    if (alarm.state == AlarmState::unacknowledged) raise(turn);
}

void AlarmBook::call_again(const Turn& turn) {
    Alarm& alarm = turn.alarm;
    const bool quiet = alarm.state == AlarmState::acknowledged ||
                       (alarm.state == AlarmState::unacknowledged && alarm.silenced);
    const std::int64_t after_ms = calls_again_after_ms(alarm.judged.priority);
    if (!quiet || after_ms == 0 || turn.now - alarm.attended < after_ms) return;
    move(turn, AlarmAct::timer);
    alarm.silenced = false;
    alarm.attended = turn.now;
    say(turn, EventKind::alarm_again, turn.now);
}

void AlarmBook::step(const Turn& turn) {
    // What would be suppressed now does not call when it comes back.
    if (turn.judged.condition == Condition::suppressed && turn.alarm.state == AlarmState::shelved)
        turn.alarm.holds = false;
    watch_shelf(turn);
    if (turn.judged.condition == Condition::suppressed) {
        hold_back(turn);
    } else if (turn.judged.condition != Condition::blind) {
        release(turn);
        weigh(turn);
    }
    call_again(turn);
}

AlarmBook::Edges AlarmBook::round(Tick now, const AlarmInputs& inputs) {
    Edges edges;
    const bool all = judges_all(now, inputs.roasting);
    memory_.judged_at = all ? now : memory_.judged_at;
    memory_.roasting = inputs.roasting;
    std::array<Judgement, kAlarmRules> judged;
    judge_rules(judged, settings_, inputs, held_, all);
    const AlarmsHeld which = all ? live_ : live_ & ~kMayWait;
    for (AlarmsHeld left = which; left != 0; left &= left - 1) {
        const auto i = static_cast<std::size_t>(std::countr_zero(left));
        if (!rests(memory_.alarms[i], judged[i])) {
            step({static_cast<AlarmRule>(i), memory_.alarms[i], judged[i], settings_.rules[i], now, edges});
            note(i);
        }
    }
    if (!calm()) watch_flood(now, edges);
    if (!calm()) choose_pattern(now);
    return edges;
}

bool AlarmBook::judges_all(Tick now, bool roasting) const {
    return roasting != memory_.roasting || now - memory_.judged_at >= kAllEvery_ms || now < memory_.judged_at;
}

void AlarmBook::look_back() {
    for (std::size_t i = 0; i < kAlarmRules; ++i) {
        if (settings_.rules[i].on || !is_unseen(memory_.alarms[i])) live_ |= AlarmsHeld{1} << i;
        note(i);
    }
}

void AlarmBook::note(std::size_t rule) {
    const AlarmsHeld one = AlarmsHeld{1} << rule;
    const Alarm& alarm = memory_.alarms[rule];
    held_ = alarm.holds ? held_ | one : held_ & ~one;
    listed_ = is_unseen(alarm) ? listed_ & ~one : listed_ | one;
}

void AlarmBook::watch_flood(Tick now, Edges& edges) {
    const std::size_t many = memory_.flood ? kFloodStays : kFloodOnsets;
    const bool flood = memory_.onsets.within(many, kFloodWindow_ms, now.ms);
    if (flood == memory_.flood) return;
    memory_.flood = flood;
    Event event;
    event.tick = event.at = now;
    event.kind = EventKind::alarms_flood;
    event.bad = flood;
    edges.push_back(event);
}

}  // namespace drumwatch

#include "service/alarm_log.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <nlohmann/json.hpp>

#include "service/alarm_changes.hpp"
#include "service/local_time.hpp"
#include "watch/watch_text.hpp"

namespace drumwatch {

namespace {

constexpr int kUsualDays = 30;
constexpr std::int64_t kStandsFor_ms = 7 * 24 * 3'600'000LL;
constexpr std::int64_t kCut_ms = 5'000;  // from a watch to the next that goes on: a tick or two
constexpr std::size_t kRoastsAtOnce = 100;

TimeSpan span_of(const WatchSpan& watch) {
    return {watch.began.unix_ms, watch.began.unix_ms + (watch.last - watch.first)};
}

/// In order and apart; a watch that was only cut goes on without a gap.
std::vector<TimeSpan> watched_spans(const std::vector<WatchSpan>& watches) {
    std::vector<TimeSpan> spans;
    for (const WatchSpan& watch : watches) spans.push_back(span_of(watch));
    std::sort(spans.begin(), spans.end(),
              [](const TimeSpan& a, const TimeSpan& b) { return a.from_ms < b.from_ms; });
    std::vector<TimeSpan> apart;
    for (const TimeSpan& span : spans) {
        if (!apart.empty() && span.from_ms - apart.back().to_ms <= kCut_ms) {
            apart.back().to_ms = std::max(apart.back().to_ms, span.to_ms);
        } else {
            apart.push_back(span);
        }
    }
    return apart;
}

/// What was asked for, up to where anything was watched; the newest instant of that is still part of it.
TimeSpan period_of(const AlarmQuestion& question, std::int64_t oldest_ms, std::int64_t newest_ms) {
    std::int64_t to_ms = newest_ms + 1;
    if (question.to) to_ms = std::min(to_ms, question.to->unix_ms);
    const std::int64_t usual_ms = std::max(oldest_ms, local_day_of({to_ms - 1}, 1 - kUsualDays).unix_ms);
    const std::int64_t from_ms = question.from ? question.from->unix_ms : std::min(usual_ms, to_ms);
    if (from_ms < to_ms) return {from_ms, to_ms};
    return {from_ms, question.to ? question.to->unix_ms : from_ms};  // nothing was watched in it
}

std::vector<AlarmDay> days_of(const TimeSpan& span) {
    std::vector<AlarmDay> days;
    for (WallTime day = local_day_of({span.from_ms}); day.unix_ms < span.to_ms;) {
        const WallTime next = local_day_of(day, 1);
        days.push_back({local_date(day), {day.unix_ms, next.unix_ms}});
        day = next;
    }
    return days;
}

/// When a roast was heard of last, by any event or by one of an alarm; not before its charge.
Result<std::int64_t> heard_of_ms(RecordReader& reader, const RoastRecord& roast, bool of_alarms) {
    const auto events = reader.events_of_roast(roast.id);
    if (!events) return Error{events.error()};
    std::int64_t last_ms = roast.charge.ms;
    for (const EventRow& event : events.value()) {
        if (!of_alarms || alarm_change(event.kind)) last_ms = std::max(last_ms, event.tick_ms);
    }
    return last_ms;
}

/// `now_ms`: the newest instant that was watched.
Result<AlarmRoast> alarm_roast(RecordReader& reader, const RoastRecord& roast, std::int64_t now_ms) {
    const std::int64_t charged_ms = roast.charged_at.unix_ms;
    std::int64_t lasted_ms = roast.drop ? *roast.drop - roast.charge : now_ms - charged_ms;
    if (!roast.drop && roast.state != RoastState::roasting) {
        const auto heard = heard_of_ms(reader, roast, false);
        if (!heard) return Error{heard.error()};
        lasted_ms = heard.value() - roast.charge.ms;
    }
    AlarmRoast one;
    one.id = roast.id;
    one.span = {charged_ms, charged_ms + std::max<std::int64_t>(lasted_ms, 0)};
    one.dropped = roast.drop.has_value();
    one.good = roast.verdict && roast.verdict->disposition == Disposition::clear;
    return one;
}

/// Those that were charged in the span, oldest first; a withdrawn one was none.
Result<std::vector<AlarmRoast>> roasts_in(RecordReader& reader, const TimeSpan& span, std::int64_t now_ms) {
    std::vector<AlarmRoast> roasts;
    for (std::uint64_t before = 0;;) {
        const auto page = reader.roasts(kRoastsAtOnce, before);
        if (!page) return Error{page.error()};
        bool older = true;
        for (const RoastRecord& roast : page.value()) {
            before = roast.id;
            older = older && roast.charged_at.unix_ms < span.from_ms;
            const bool within =
                roast.charged_at.unix_ms >= span.from_ms && roast.charged_at.unix_ms < span.to_ms;
            if (!within || roast.state == RoastState::withdrawn) continue;
            auto one = alarm_roast(reader, roast, now_ms);
            if (!one) return Error{one.error()};
            roasts.push_back(one.value());
        }
        if (older || page.value().size() < kRoastsAtOnce) break;
    }
    std::sort(roasts.begin(), roasts.end(),
              [](const AlarmRoast& a, const AlarmRoast& b) { return a.span.from_ms < b.span.from_ms; });
    return roasts;
}

/// Those that were on in a watch; none where that can't be read.
std::vector<ConfiguredRule> rules_of(RecordReader& reader, std::uint64_t watch) {
    std::vector<ConfiguredRule> rules;
    const auto row = reader.watch(watch);
    if (!row || !row.value()) return rules;
    const auto begin = parse_begin(row.value()->begin);
    if (!begin) return rules;
    for (std::size_t i = 0; i < kAlarmRules; ++i) {
        const RuleSettings& settings = begin.value().settings.alarms.rules[i];
        if (settings.on) rules.push_back({static_cast<AlarmRule>(i), settings.priority});
    }
    return rules;
}

/// Fills in what happened and which rules there were.
Result<Done> add_changes(RecordReader& reader, const std::vector<WatchSpan>& watches, AlarmLog& log) {
    const TimeSpan& span = log.period.span;
    AlarmChanges changes(reader);
    std::uint64_t newest = 0;
    for (const WatchSpan& watch : watches) {
        const TimeSpan lasted = span_of(watch);
        if (lasted.to_ms < span.from_ms - kStandsFor_ms || lasted.from_ms >= span.to_ms) continue;
        auto added = changes.add(watch);
        if (!added) return added;
        newest = watch.id;
    }
    if (newest != 0) log.period.configured = rules_of(reader, newest);
    log.changes = changes.take(span.to_ms);
    return Done{};
}

Result<AlarmQuestion> question_of_roast(RecordReader& reader, std::uint64_t id, std::int64_t now_ms) {
    const auto roast = reader.roast(id);
    if (!roast) return Error{roast.error()};
    if (!roast.value()) return Error{fmt::format("there is no roast {} in the record", id)};
    const auto one = alarm_roast(reader, *roast.value(), now_ms);
    if (!one) return Error{one.error()};
    // A drop is found some seconds after it happened, and alarms of that time are still this roast's.
    const auto heard = heard_of_ms(reader, *roast.value(), true);
    if (!heard) return Error{heard.error()};
    const TimeSpan& span = one.value().span;
    const std::int64_t last_ms = span.from_ms + (heard.value() - roast.value()->charge.ms);
    AlarmQuestion question;
    question.roast = id;
    question.from = WallTime{span.from_ms};
    question.to = WallTime{std::max(span.to_ms, last_ms + 1)};
    return question;
}

Result<WallTime> day(const std::string& text) {
    const auto begins = local_day(text);
    if (begins) return *begins;
    return Error{fmt::format("\"{}\" is no date: write a day as in 2026-11-25", text)};
}

}  // namespace

Result<AlarmQuestion> alarm_question(const std::string& from_day, const std::string& to_day) {
    AlarmQuestion question;
    if (!from_day.empty()) {
        const auto from = day(from_day);
        if (!from) return Error{from.error()};
        question.from = from.value();
    }
    if (!to_day.empty()) {
        const auto to = day(to_day);
        if (!to) return Error{to.error()};
        question.to = local_day_of(to.value(), 1);
    }
    if (question.from && question.to && question.from->unix_ms >= question.to->unix_ms)
        return Error{fmt::format("the period begins on {}, after its end on {}", from_day, to_day)};
    return question;
}

std::string_view alarm_unit(AlarmRule rule) { return words(unit_of(rule)); }

Result<AlarmLog> read_alarm_log(RecordReader& reader, const AlarmQuestion& asked) {
    const auto watches = reader.watch_spans();
    if (!watches) return Error{watches.error()};
    const TimeSpan newest = watches.value().empty() ? TimeSpan{} : span_of(watches.value().back());
    AlarmQuestion question = asked;
    if (asked.roast != 0) {
        auto of_roast = question_of_roast(reader, asked.roast, newest.to_ms);
        if (!of_roast) return Error{of_roast.error()};
        question = of_roast.value();
    }
    AlarmLog log;
    log.nothing = watches.value().empty();
    if (log.nothing) return log;
    log.period.span = period_of(question, watches.value().front().began.unix_ms, newest.to_ms);
    log.period.watched = watched_spans(watches.value());
    std::erase_if(log.period.watched, [&](const TimeSpan& span) {
        return span.to_ms <= log.period.span.from_ms || span.from_ms >= log.period.span.to_ms;
    });
    log.period.days = days_of(log.period.span);
    auto roasts = roasts_in(reader, log.period.span, newest.to_ms);
    if (!roasts) return Error{roasts.error()};
    log.period.roasts = std::move(roasts.value());
    const auto added = add_changes(reader, watches.value(), log);
    if (!added) return Error{added.error()};
    return log;
}

AlarmFigures alarm_figures(const AlarmLog& log) {
    std::vector<AlarmTransition> transitions;
    for (const LoggedAlarm& change : log.changes) transitions.push_back(change.what);
    return alarm_figures(transitions, log.period);
}

}  // namespace drumwatch

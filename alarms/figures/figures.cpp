#include "alarms/figures/figures.hpp"

#include <algorithm>
#include <map>
#include <utility>

#include "alarms/figures/load.hpp"
#include "alarms/figures/onsets.hpp"
#include "core/quantile.hpp"

namespace drumwatch {

namespace {

constexpr std::int64_t kFleeting_ms = 10'000;
constexpr std::int64_t kStale_ms = 24 * 3'600'000;
constexpr std::size_t kStaleRoasts = 2;
constexpr std::size_t kShelvedAgain = 2;
constexpr std::size_t kTop = 10;
constexpr double kTenMinutes_ms = 600'000;

std::optional<double> ratio(double part, double whole) {
    return whole > 0 ? std::optional(part / whole) : std::nullopt;
}

std::size_t place(Priority priority) {
    return std::clamp<std::size_t>(static_cast<std::size_t>(priority), 1, kPriorities) - 1;
}

bool holds(const TimeSpan& span, std::int64_t at_ms) { return at_ms >= span.from_ms && at_ms < span.to_ms; }

TimeSpan common(const TimeSpan& a, const TimeSpan& b) {
    return {std::max(a.from_ms, b.from_ms), std::min(a.to_ms, b.to_ms)};
}

bool meet(const TimeSpan& a, const TimeSpan& b) {
    const TimeSpan both = common(a, b);
    return both.from_ms < both.to_ms;
}

/// The alarms' stories, and the figures as they grow.
class Reckoning {
  public:
    Reckoning(const std::vector<AlarmTransition>& transitions, const AlarmPeriod& period) : period_(period) {
        for (const AlarmTransition& transition : transitions) {
            if (transition.time_ms < period.span.to_ms) known_.push_back(transition);
        }
        all_ = alarm_onsets(known_);
        for (const AlarmOnset& onset : all_) {
            times_.push_back(onset.raised_ms);
            if (holds(period.span, onset.raised_ms)) within_.push_back(&onset);
        }
    }

    AlarmFigures figures() {
        figures_.span = period_.span;
        figures_.watched_ms = overlap_ms(period_.watched, period_.span);
        figures_.alarms = within_.size();
        add_days();
        add_roasts();
        add_load();
        add_shelving();
        add_rules();
        add_priorities();
        add_answers();
        return std::move(figures_);
    }

  private:
    std::int64_t end_of(const AlarmOnset& onset) const { return onset.ended_ms.value_or(period_.span.to_ms); }

    /// When it was active for more than a day; may be empty.
    TimeSpan stale_span(const AlarmOnset& onset) const {
        return common(period_.span, {onset.raised_ms + kStale_ms, end_of(onset)});
    }

    bool stale_by_day(const AlarmOnset& onset) const { return meet(stale_span(onset), period_.span); }

    bool stale_by_roasts(const AlarmOnset& onset) const {
        const std::int64_t end_ms = end_of(onset);
        auto roast = std::lower_bound(
            period_.roasts.begin(), period_.roasts.end(), onset.raised_ms,
            [](const AlarmRoast& one, std::int64_t at_ms) { return one.span.from_ms < at_ms; });
        std::size_t whole = 0;
        for (; roast != period_.roasts.end() && roast->span.from_ms < end_ms && whole < kStaleRoasts; ++roast)
            whole += roast->dropped && roast->span.to_ms <= end_ms ? 1 : 0;
        return whole >= kStaleRoasts;
    }

    static bool fleeting(const AlarmOnset& onset) {
        if (!onset.cleared || *onset.ended_ms - onset.raised_ms > kFleeting_ms) return false;
        const bool answered = onset.answered_ms && *onset.answered_ms <= *onset.ended_ms;
        const bool shelved = onset.shelved_ms && *onset.shelved_ms <= *onset.ended_ms;
        return !answered && !shelved;
    }

    DayFigures day_figures(const AlarmDay& day) const {
        const TimeSpan span = common(day.span, period_.span);
        DayFigures figures;
        figures.label = day.label;
        figures.watched_ms = overlap_ms(period_.watched, span);
        for (const AlarmOnset* onset : within_) {
            if (!holds(span, onset->raised_ms)) continue;
            ++figures.alarms;
            ++figures.by_priority[place(onset->priority)];
        }
        for (const AlarmOnset& onset : all_) figures.stale += meet(stale_span(onset), span) ? 1 : 0;
        return figures;
    }

    void add_days() {
        for (const AlarmDay& day : period_.days) {
            DayFigures figures = day_figures(day);
            if (figures.watched_ms == 0 && figures.alarms == 0) continue;
            figures_.most_in_a_day = std::max(figures_.most_in_a_day, figures.alarms);
            figures_.most_stale_in_a_day = std::max(figures_.most_stale_in_a_day, figures.stale);
            figures_.by_day.push_back(std::move(figures));
        }
        figures_.watched_days = figures_.by_day.size();
        figures_.per_day =
            ratio(static_cast<double>(figures_.alarms), static_cast<double>(figures_.watched_days));
    }

    void add_roasts() {
        std::map<std::uint64_t, RoastFigures> by_id;
        for (const AlarmRoast& roast : period_.roasts) by_id[roast.id] = {roast.id, roast.good, 0, {}};
        for (const AlarmOnset* onset : within_) {
            const auto found = by_id.find(onset->roast);
            if (found == by_id.end()) continue;
            ++found->second.alarms;
            ++found->second.by_priority[place(onset->priority)];
        }
        std::size_t in_good = 0;
        std::int64_t roasting_ms = 0;
        for (const AlarmRoast& roast : period_.roasts) {
            const RoastFigures& figures = by_id[roast.id];
            figures_.in_roasts += figures.alarms;
            figures_.good_roasts += roast.good ? 1 : 0;
            in_good += roast.good ? figures.alarms : 0;
            roasting_ms += overlap_ms(period_.watched, common(roast.span, period_.span));
            figures_.by_roast.push_back(figures);
        }
        figures_.roasts = period_.roasts.size();
        const auto in_roasts = static_cast<double>(figures_.in_roasts);
        figures_.per_roast = ratio(in_roasts, static_cast<double>(figures_.roasts));
        figures_.per_good_roast =
            ratio(static_cast<double>(in_good), static_cast<double>(figures_.good_roasts));
        figures_.per_10_minutes_roasting =
            ratio(in_roasts, static_cast<double>(roasting_ms) / kTenMinutes_ms);
    }

    std::int64_t watched_ms(const TimeSpan& span) const {
        return overlap_ms(period_.watched, common(span, period_.span));
    }

    void add_load() {
        const auto watched = static_cast<double>(figures_.watched_ms);
        figures_.per_10_minutes = ratio(static_cast<double>(figures_.alarms), watched / kTenMinutes_ms);
        figures_.most_in_10_minutes = most_in_window(times_, period_.span);
        std::int64_t crowded_ms = 0;
        for (const TimeSpan& span : crowded_spans(times_)) crowded_ms += watched_ms(span);
        figures_.crowded_share = ratio(static_cast<double>(crowded_ms), watched);
        std::int64_t flood_ms = 0;
        for (const AlarmFlood& flood : floods(times_, period_.span.to_ms)) {
            if (!meet(flood.span, period_.span)) continue;
            flood_ms += watched_ms(flood.span);
            const std::int64_t length_ms = flood.span.to_ms - flood.span.from_ms;
            figures_.longest_flood_ms = std::max(figures_.longest_flood_ms, length_ms);
            figures_.floods.push_back(flood);
        }
        figures_.flood_share = ratio(static_cast<double>(flood_ms), watched);
    }

    RuleFigures rule_figures(AlarmRule rule) const {
        RuleFigures figures;
        figures.rule = rule;
        std::vector<std::int64_t> times;
        for (const AlarmOnset& onset : all_) {
            if (onset.rule != rule) continue;
            times.push_back(onset.raised_ms);
            figures.stale_day += stale_by_day(onset) ? 1 : 0;
            figures.stale_roasts += stale_by_roasts(onset) ? 1 : 0;
            if (!holds(period_.span, onset.raised_ms)) continue;
            ++figures.alarms;
            figures.fleeting += fleeting(onset) ? 1 : 0;
            figures.unacknowledged += onset.answered_ms ? 0 : 1;
        }
        figures.chattering = chatter_count(times, period_.span);
        figures.share =
            ratio(static_cast<double>(figures.alarms), static_cast<double>(figures_.alarms)).value_or(0);
        return figures;
    }

    void add_rules() {
        for (std::size_t i = 0; i < kAlarmRules; ++i) {
            const RuleFigures figures = rule_figures(static_cast<AlarmRule>(i));
            figures_.chattering += figures.chattering;
            figures_.fleeting += figures.fleeting;
            figures_.stale_day += figures.stale_day;
            figures_.stale_roasts += figures.stale_roasts;
            const bool shelved =
                std::any_of(figures_.reshelved.begin(), figures_.reshelved.end(),
                            [&](const ReshelvedRule& one) { return one.rule == figures.rule; });
            if (shelved || figures.alarms + figures.stale_day + figures.stale_roasts > 0)
                figures_.rules.push_back(figures);
        }
        std::stable_sort(figures_.rules.begin(), figures_.rules.end(),
                         [](const RuleFigures& a, const RuleFigures& b) { return a.alarms > b.alarms; });
        for (std::size_t i = 0; i < std::min(kTop, figures_.rules.size()); ++i)
            figures_.top_ten_share += figures_.rules[i].share;
    }

    void add_priorities() {
        for (const AlarmOnset* onset : within_) ++figures_.by_priority[place(onset->priority)];
        for (const ConfiguredRule& rule : period_.configured) ++figures_.configured[place(rule.priority)];
    }

    void add_answers() {
        std::vector<double> waits_s;
        for (const AlarmOnset* onset : within_) {
            if (onset->answered_ms)
                waits_s.push_back(static_cast<double>(*onset->answered_ms - onset->raised_ms) / 1000);
        }
        figures_.acknowledged = waits_s.size();
        figures_.unacknowledged = within_.size() - waits_s.size();
        figures_.median_acknowledge_s = quantile(waits_s, 0.5);
        figures_.percentile_90_acknowledge_s = quantile(std::move(waits_s), 0.9);
    }

    static bool nameless(const AlarmTransition& transition) {
        return transition.who.empty() && (transition.change == AlarmChange::shelved ||
                                          transition.change == AlarmChange::out_of_service);
    }

    void add_shelving() {
        std::map<std::pair<std::uint64_t, AlarmRule>, std::size_t> shelved;
        for (const AlarmTransition& transition : known_) {
            if (holds(period_.span, transition.time_ms)) figures_.nameless += nameless(transition) ? 1 : 0;
            const bool counts = transition.change == AlarmChange::shelved && transition.roast != 0 &&
                                holds(period_.span, transition.time_ms);
            if (counts) ++shelved[{transition.roast, transition.rule}];
        }
        for (const auto& [where, times] : shelved) {
            if (times > kShelvedAgain + 1)
                figures_.reshelved.push_back({where.first, where.second, times - 1});
        }
    }

    const AlarmPeriod& period_;
    std::vector<AlarmTransition> known_;
    std::vector<AlarmOnset> all_;
    std::vector<const AlarmOnset*> within_;  ///< raised in the period
    std::vector<std::int64_t> times_;        ///< of all onsets
    AlarmFigures figures_;
};

}  // namespace

AlarmFigures alarm_figures(const std::vector<AlarmTransition>& transitions, const AlarmPeriod& period) {
    return Reckoning(transitions, period).figures();
}

}  // namespace drumwatch

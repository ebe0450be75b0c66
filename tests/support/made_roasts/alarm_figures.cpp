#include "support/made_roasts/alarm_figures.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>
#include <set>

#include "core/milli.hpp"
#include "support/made_roasts/true_alarms.hpp"

namespace drumwatch {
namespace {

using Bound = TrueAlarms::Bound;
constexpr double kTick_s = 1;      // what is known of the truth
constexpr double kSameTime_s = 6;  // a rise is known 5 s behind, some rules are judged once a second

bool follows_from(Trouble trouble, AlarmRule rule) {
    switch (trouble) {
        case Trouble::late_move:
            return rule == AlarmRule::runaway_rise || rule == AlarmRule::stall ||
                   rule == AlarmRule::exhaust_high;
        case Trouble::stall:
            return rule == AlarmRule::drift || rule == AlarmRule::flame_out;
        case Trouble::runaway:
        case Trouble::wrong_charge:
        case Trouble::leap:
            return rule == AlarmRule::drift || rule == AlarmRule::runaway_rise ||
                   rule == AlarmRule::exhaust_high || rule == AlarmRule::inlet_high ||
                   rule == AlarmRule::bean_high || rule == AlarmRule::bean_high_high ||
                   rule == AlarmRule::drop_overdue;
        case Trouble::full_disk:
            return rule == AlarmRule::record_failing;
        default:
            return false;
    }
}

/// One troubled day, heard.
class Looking {
  public:
    Looking(const MadeStation& station, Trouble trouble, TroubleFigures& figures)
        : trouble_(trouble),
          name_(name_of(trouble)),
          day_(troubled_day(station, trouble)),
          heard_(hear(day_)),
          figures_(figures) {
        onset_s_ = since_charge(day_.trouble_at);
        for (const HeardAlarm& alarm : heard_.alarms)
            (alarm.raised >= day_.trouble_at ? after_ : before_).push_back(alarm);
    }

    void look() {
        ++figures_.days;
        figures_.before += static_cast<int>(before_.size());
        for (const HeardAlarm& alarm : before_) figures_.high_before += alarm.priority == Priority::high;
        look_at_others();
        if (trouble_ == Trouble::late_move) {
            look_at_late_move();
            return;
        }
        const HeardAlarm* named = first_of(name_.rule);
        if (!named || named->priority != name_.priority || !cause_is_right(*named)) return;
        ++figures_.found;
        const double heard_s = since_charge(named->raised);
        figures_.after_onset_s.push_back(heard_s - onset_s_);
        const double late_s = heard_s - counted_from_s(*named);
        figures_.after_truth_s.push_back(late_s);
        figures_.in_time += late_s >= 0 && late_s <= allowed_s();
        figures_.first_right += first_is_right(heard_s);
    }

  private:
    const MadeRoast& roast() const { return day_.roasts.front(); }
    double since_charge(Tick at) const { return seconds_between(roast().charge, at); }
    const HeardAlarm* first_of(AlarmRule rule) const {
        for (const HeardAlarm& alarm : after_)
            if (alarm.rule == rule) return &alarm;
        return nullptr;
    }
    TrueAlarms truth() const {
        return {*day_.begin.target, roast().truth,
                trouble_ == Trouble::leap ? std::optional(onset_s_) : std::nullopt};
    }
    bool coarse() const { return roast().plan.quantum_c > 0.5; }
    /// With steps of 1 °F a frozen probe can't be told from a live one for longer.
    double allowed_s() const {
        return name_.within_s * (trouble_ == Trouble::frozen_probe && coarse() ? 3 : 1);
    }

    bool cause_is_right(const HeardAlarm& alarm) const {
        const auto quality =
            static_cast<Milli>(trouble_ == Trouble::open_probe ? Quality::open_circuit : Quality::frozen);
        if (alarm.rule == AlarmRule::bean_probe_fault) return alarm.value_milli == quality;
        if (alarm.rule != AlarmRule::bus_silent) return true;
        std::uint16_t machine = 0;
        const ChannelTable& channels = day_.begin.settings.channels;
        for (std::size_t i = 0; i < channels.size(); ++i)
            if (on_machine_bus(channels[i].role)) machine |= static_cast<std::uint16_t>(1u << i);
        return alarm.members == machine && alarm.first == 0;
    }

    /// What the alarm can at the earliest be measured from: where the trouble builds up, the moment at which
    /// the truth came to what the rule looks for.
    double counted_from_s(const HeardAlarm& named) const {
        if (trouble_ == Trouble::cold_oxidiser) return since_charge(last_warm(named.raised));
        const double from_s = std::max(onset_s_, 0.0);
        return truth().began_s(name_.rule, from_s, Bound::more).value_or(onset_s_);
    }
    Tick last_warm(Tick until) const {
        const auto index = *find_role(day_.begin.settings.channels, Role::oxidiser);
        Tick last = day_.trouble_at;
        for (const Frame& frame : day_.frames)
            if (frame.tick <= until && from_milli(frame.samples[index].value_milli) >= kPermit_c)
                last = frame.tick;
        return last;
    }

    bool first_is_right(double named_s) const {
        const HeardAlarm& first = after_.front();
        if (first.rule == name_.rule) return true;
        if (trouble_ == Trouble::frozen_probe || !follows_from(trouble_, first.rule)) return false;
        if (first.rule == AlarmRule::exhaust_high || first.rule == AlarmRule::flame_out) return true;
        return is_due(first) && since_charge(first.raised) <= named_s;
    }

    /// The truth came to what the rule looks for before it sounded, and clearly so not long before.
    bool is_due(const HeardAlarm& alarm) const {
        const double from_s = std::max(onset_s_, 0.0);
        const double heard_s = since_charge(alarm.raised);
        const auto soonest_s = truth().at_s(alarm.rule, from_s, Bound::less);
        const auto latest_s = truth().at_s(alarm.rule, from_s, Bound::more);
        return soonest_s && heard_s >= *soonest_s - kTick_s &&
               (!latest_s || heard_s <= *latest_s + kSameTime_s);
    }

    void look_at_others() {
        std::multiset<AlarmRule> rules;
        for (const HeardAlarm& alarm : after_) {
            rules.insert(alarm.rule);
            if (alarm.rule == name_.rule) continue;
            ++figures_.besides[static_cast<std::size_t>(alarm.rule)];
            figures_.strange += !follows_from(trouble_, alarm.rule);
        }
        const bool twice =
            std::any_of(rules.begin(), rules.end(), [&](AlarmRule rule) { return rules.count(rule) > 1; });
        figures_.once += !twice;
    }

    /// Its name is the prompt for that move; the alarm for drift comes where the curve truly leaves its
    /// bounds.
    void look_at_late_move() {
        for (const HeardPrompt& prompt : heard_.prompts) {
            const bool its = prompt.kind == PromptKind::move_overdue && prompt.from >= day_.trouble_at &&
                             prompt.planned == roast().plan.trouble.late_move;
            if (!its) continue;
            const double late_s = seconds_between(day_.trouble_at, prompt.from);
            ++figures_.found;
            figures_.after_onset_s.push_back(late_s);
            figures_.after_truth_s.push_back(late_s);
            figures_.in_time += late_s <= name_.within_s;
            break;
        }
        const bool due = truth().at_s(AlarmRule::drift, onset_s_, Bound::more).has_value();
        const HeardAlarm* drift = first_of(AlarmRule::drift);
        figures_.drift_due += due;
        figures_.drift_right += drift ? is_due(*drift) : !due;
        figures_.first_right +=
            after_.empty() || after_.front().rule == AlarmRule::drift || is_due(after_.front());
    }

    Trouble trouble_;
    TroubleName name_;
    MadeDay day_;
    HeardDay heard_;
    TroubleFigures& figures_;
    double onset_s_ = 0;
    std::vector<HeardAlarm> before_;
    std::vector<HeardAlarm> after_;
};

}  // namespace

TroubleName name_of(Trouble trouble) {
    switch (trouble) {
        case Trouble::late_move:
            return {AlarmRule::drift, Priority::medium, 10};
        case Trouble::stall:
            return {AlarmRule::stall, Priority::low, 40};
        case Trouble::runaway:
            return {AlarmRule::runaway_rise, Priority::medium, 20};
        case Trouble::open_probe:
            return {AlarmRule::bean_probe_fault, Priority::high, 3};
        case Trouble::frozen_probe:
            return {AlarmRule::bean_probe_fault, Priority::high, 20};
        case Trouble::dead_bus:
            return {AlarmRule::bus_silent, Priority::high, 4};
        case Trouble::full_disk:
            return {AlarmRule::disk_low, Priority::medium, 62};
        case Trouble::cold_oxidiser:
            return {AlarmRule::oxidiser_cold, Priority::low, 62};
        case Trouble::slow_cooling:
            return {AlarmRule::cooling_slow, Priority::low, 304};
        case Trouble::wrong_charge:
            return {AlarmRule::drift, Priority::medium, 15};
        case Trouble::leap:
            return {AlarmRule::bean_high_high, Priority::high, 4};
    }
    return {};
}

void listen_to_good(const MadeStation& station, GoodFigures& figures) {
    const MadeDay day = good_day(station);
    const HeardDay heard = hear(day);
    figures.roasts += static_cast<int>(day.roasts.size());
    figures.not_seen += std::abs(static_cast<int>(day.roasts.size()) - heard.roasts) + heard.withdrawn;
    figures.turned_away += day.turned_away;
    std::set<std::size_t> with_alarm;
    for (const HeardAlarm& alarm : heard.alarms) {
        ++figures.alarms;
        ++figures.by_rule[static_cast<std::size_t>(alarm.rule)];
        figures.high += alarm.priority == Priority::high;
        std::size_t roast = 0;
        while (roast + 1 < day.roasts.size() && day.roasts[roast + 1].charge <= alarm.raised) ++roast;
        with_alarm.insert(roast);
    }
    figures.with_alarm += static_cast<int>(with_alarm.size());
    for (const HeardPrompt& prompt : heard.prompts) ++figures.prompts[static_cast<std::size_t>(prompt.kind)];
}

void listen_to_trouble(const MadeStation& station, Trouble trouble, TroubleFigures& figures) {
    Looking(station, trouble, figures).look();
}

}  // namespace drumwatch

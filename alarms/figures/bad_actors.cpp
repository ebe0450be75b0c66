#include <algorithm>
#include <array>

#include "alarms/figures/benchmarks.hpp"
#include "alarms/rule_traits.hpp"

namespace drumwatch {

namespace {

constexpr std::size_t kLeastFrequent = 10;
constexpr std::size_t kLeastUnanswered = 3;

std::size_t reshelved_times(const AlarmFigures& figures, AlarmRule rule) {
    return static_cast<std::size_t>(
        std::count_if(figures.reshelved.begin(), figures.reshelved.end(),
                      [rule](const ReshelvedRule& one) { return one.rule == rule; }));
}

std::size_t times(const AlarmFigures& figures, const RuleFigures& rule, Annoyance why) {
    switch (why) {
        case Annoyance::chattering:
            return rule.chattering;
        case Annoyance::fleeting:
            return rule.fleeting;
        case Annoyance::stale:
            return std::max(rule.stale_day, rule.stale_roasts);
        case Annoyance::reshelved:
            return reshelved_times(figures, rule.rule);
        case Annoyance::frequent:
            return figures.alarms >= kLeastFrequent && rule.share > 0.5 ? rule.alarms : 0;
        case Annoyance::unanswered:
            return rule.unacknowledged >= kLeastUnanswered && 2 * rule.unacknowledged > rule.alarms
                       ? rule.unacknowledged
                       : 0;
    }
    return 0;
}

/// Of rules that stand before a danger: nothing that delays them, moves their limit or makes them quieter.
std::string_view careful_suggestion(Annoyance why) {
    switch (why) {
        case Annoyance::chattering:
        case Annoyance::fleeting:
        case Annoyance::frequent:
            return "Find the cause: probe, plug and cable, and the machine, as its manual says. Limit and "
                   "delays stay as they are.";
        case Annoyance::stale:
            return "Find the cause, and have it put right before the next roast.";
        case Annoyance::reshelved:
            return "Find the cause: this alarm is not one to be put aside.";
        case Annoyance::unanswered:
            return "Find out whether it is seen and heard, and who is to answer it.";
    }
    return {};
}

}  // namespace

std::string_view name(Annoyance annoyance) {
    static constexpr std::array<std::string_view, kAnnoyances> kTable{"chattering", "fleeting", "stale",
                                                                      "reshelved",  "frequent", "unanswered"};
    const auto index = static_cast<std::size_t>(annoyance);
    return index < kTable.size() ? kTable[index] : "?";
}

std::vector<BadActor> bad_actors(const AlarmFigures& figures) {
    std::vector<BadActor> actors;
    for (const RuleFigures& rule : figures.rules) {
        for (std::size_t i = 0; i < kAnnoyances; ++i) {
            const auto why = static_cast<Annoyance>(i);
            const std::size_t count = times(figures, rule, why);
            if (count > 0) actors.push_back({rule.rule, why, count});
        }
    }
    return actors;
}

bool guards_against_danger(AlarmRule rule) {
    switch (rule) {
        case AlarmRule::bean_high:
        case AlarmRule::exhaust_high:
        case AlarmRule::inlet_high:
        case AlarmRule::drum_high:
        case AlarmRule::drop_overdue:
            return true;
        default:
            return guards(rule);
    }
}

std::string_view words(Annoyance why) {
    switch (why) {
        case Annoyance::chattering:
            return "it came and went 3 times and more in a minute";
        case Annoyance::fleeting:
            return "it was over within 10 s, before anybody had answered it";
        case Annoyance::stale:
            return "it stayed active for more than 24 h or over two whole roasts";
        case Annoyance::reshelved:
            return "it was shelved again more than twice in one roast";
        case Annoyance::frequent:
            return "it came, which is more than half of all alarms";
        case Annoyance::unanswered:
            return "nobody acknowledged it, which is more than half of its alarms";
    }
    return {};
}

std::string_view suggestion(AlarmRule rule, Annoyance why) {
    if (guards_against_danger(rule)) return careful_suggestion(why);
    switch (why) {
        case Annoyance::chattering:
            return "Consider a longer off-delay or a wider deadband.";
        case Annoyance::fleeting:
            return "Consider a longer on-delay.";
        case Annoyance::stale:
            return "Is it still an alarm that asks for an answer, or maintenance? What waits for repair can "
                   "be "
                   "taken out of service under a name.";
        case Annoyance::reshelved:
            return "Repair what is behind it, or take it out of service under a name until that is done.";
        case Annoyance::frequent:
            return "Look for one cause behind them. What asks for no answer is no alarm, but a prompt or a "
                   "status.";
        case Annoyance::unanswered:
            return "What asks for no answer is no alarm, but a prompt or a status.";
    }
    return {};
}

}  // namespace drumwatch

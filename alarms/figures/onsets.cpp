#include "alarms/figures/onsets.hpp"

#include <map>

namespace drumwatch {

namespace {

class Onsets {
  public:
    std::vector<AlarmOnset> list;

    void take(const AlarmTransition& transition) {
        if (transition.change == AlarmChange::raised) return raise(transition);
        if (transition.change == AlarmChange::forgotten) return forget(transition.time_ms);
        const auto found = by_occurrence_.find(transition.occurrence);
        if (found != by_occurrence_.end()) change(list[found->second], transition);
    }

  private:
    void raise(const AlarmTransition& transition) {
        by_occurrence_[transition.occurrence] = list.size();
        AlarmOnset onset;
        onset.rule = transition.rule;
        onset.priority = transition.priority;
        onset.roast = transition.roast;
        onset.raised_ms = transition.time_ms;
        list.push_back(onset);
    }

    /// Latched ones stay to be acknowledged, so that their numbers are kept.
    void forget(std::int64_t now_ms) {
        for (const auto& [occurrence, place] : by_occurrence_) end(list[place], now_ms);
    }

    static void end(AlarmOnset& onset, std::int64_t now_ms) {
        if (!onset.ended_ms) onset.ended_ms = now_ms;
    }

    static void change(AlarmOnset& onset, const AlarmTransition& transition) {
        const std::int64_t now_ms = transition.time_ms;
        switch (transition.change) {
            case AlarmChange::cleared:
                onset.cleared = onset.cleared || !onset.ended_ms;
                return end(onset, now_ms);
            case AlarmChange::suppressed:
            case AlarmChange::out_of_service:
                return end(onset, now_ms);
            case AlarmChange::acknowledged:
            case AlarmChange::reset:
                if (!onset.answered_ms) onset.answered_ms = now_ms;
                return;
            case AlarmChange::shelved:
                if (!onset.shelved_ms) onset.shelved_ms = now_ms;
                return;
            case AlarmChange::raised:
            case AlarmChange::silenced:
            case AlarmChange::again:
            case AlarmChange::unshelved:
            case AlarmChange::released:
            case AlarmChange::returned:
            case AlarmChange::forgotten:
                return;
        }
    }

    std::map<std::uint64_t, std::size_t> by_occurrence_;
};

}  // namespace

std::vector<AlarmOnset> alarm_onsets(const std::vector<AlarmTransition>& transitions) {
    Onsets onsets;
    for (const AlarmTransition& transition : transitions) onsets.take(transition);
    return std::move(onsets.list);
}

}  // namespace drumwatch

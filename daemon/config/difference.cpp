#include "config/difference.hpp"

namespace drumwatch {

namespace {

class Comparison {
  public:
    std::vector<Difference> found;

    template <typename Part>
    void look(const std::string& pointer, const Part& before, const Part& after, TakenOver when) {
        if (!(before == after)) found.push_back({pointer, when});
    }
};

}  // namespace

std::vector<Difference> differences(const Config& before, const Config& after) {
    Comparison parts;
    for (std::size_t i = 0; i < kAlarmRules; ++i) {
        parts.look("/alarms/" + std::string(name(static_cast<AlarmRule>(i))), before.alarms.rules[i],
                   after.alarms.rules[i], TakenOver::quiet_moment);
    }
    for (std::size_t i = 0; i < kAlarmRules; ++i) {
        parts.look("/alarms/" + std::string(name(static_cast<AlarmRule>(i))) + "/advice", before.advice[i],
                   after.advice[i], TakenOver::restart);
    }
    parts.look("/targets", before.targets, after.targets, TakenOver::now);
    parts.look("/verdict", before.verdict, after.verdict, TakenOver::now);
    const auto restart = [&](const char* pointer, const auto& one, const auto& other) {
        parts.look(pointer, one, other, TakenOver::restart);
    };
    restart("/target", before.chosen_target, after.chosen_target);
    restart("/station", before.station, after.station);
    restart("/machine", before.machine, after.machine);
    restart("/tick_ms", before.tick_ms, after.tick_ms);
    restart("/simulated", before.simulated, after.simulated);
    restart("/channels", before.channels, after.channels);
    restart("/buses", before.buses, after.buses);
    restart("/sounders", before.sounders, after.sounders);
    restart("/buttons", before.buttons, after.buttons);
    restart("/sounder_test_at", before.sounder_test_at, after.sounder_test_at);
    restart("/chirp_at_start", before.chirp_at_start, after.chirp_at_start);
    restart("/chime_prompts", before.chime_prompts, after.chime_prompts);
    restart("/heartbeat", before.heartbeat, after.heartbeat);
    restart("/limiter", before.limiter, after.limiter);
    restart("/site_card", before.site_card, after.site_card);
    restart("/reminders", before.reminders, after.reminders);
    restart("/probes", before.probes, after.probes);
    restart("/record", before.record, after.record);
    restart("/web", before.web, after.web);
    return parts.found;
}

std::string sentence(const Difference& difference) {
    switch (difference.when) {
        case TakenOver::now:
            return difference.pointer + ": taken over, for targets that are chosen from now on";
        case TakenOver::quiet_moment:
            return difference.pointer +
                   ": will be taken over with the next watch, once the drum has been empty for 3 min";
        case TakenOver::restart:
            return difference.pointer + ": waits for a restart of the daemon";
    }
    return {};
}

}  // namespace drumwatch

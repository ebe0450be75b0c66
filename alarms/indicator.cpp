#include "alarms/indicator.hpp"

#include <algorithm>
#include <optional>

namespace drumwatch {

namespace {

bool light(Priority priority, const Snapshot& now) {
    std::optional<Tick> unseen;
    bool seen = false;
    for (const AlarmView& alarm : now.alarms) {
        if (alarm.priority != priority) continue;
        if (waits_for_acknowledgement(alarm.state))
            unseen = std::max(unseen.value_or(alarm.since), alarm.since);
        else if (is_present(alarm.state))
            seen = true;
    }
    if (!unseen) return seen;
    return (now.tick - *unseen) / kFlash_ms % 2 == 0;
}

}  // namespace

bool lit(Indicator indicator, const Snapshot& now) {
    switch (indicator) {
        case Indicator::buzzer:
            return now.sounder.on;
        case Indicator::red:
            return light(Priority::high, now);
        case Indicator::yellow:
            return light(Priority::medium, now);
        case Indicator::blue:
            return light(Priority::low, now);
        case Indicator::white:
            return !now.prompts.empty();
    }
    return false;
}

}  // namespace drumwatch

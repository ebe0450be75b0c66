#include "alarms/figures/flood_watch.hpp"

namespace drumwatch {

bool FloodWatch::onset(AlarmRule rule, Tick now) {
    // It may have ended since the newest onset; one that comes just when another grows too old keeps it up.
    const bool stayed = memory_.flood && memory_.all.within(kFloodStays, kFloodWindow_ms + 1, now.ms);
    memory_.all.add(now.ms);
    memory_.flood = memory_.all.within(kFloodOnsets, kFloodWindow_ms, now.ms) ||
                    (stayed && memory_.all.within(kFloodStays, kFloodWindow_ms, now.ms));
    auto& own = memory_.of_rule[static_cast<std::size_t>(rule)];
    own.add(now.ms);
    return own.within(kChatterOnsets, kChatterWindow_ms, now.ms);
}

bool FloodWatch::flood(Tick now) const {
    return memory_.flood && memory_.all.within(kFloodStays, kFloodWindow_ms, now.ms);
}

bool FloodWatch::chatters(AlarmRule rule, Tick now) const {
    return memory_.of_rule[static_cast<std::size_t>(rule)].within(kChatterOnsets, kChatterWindow_ms, now.ms);
}

}  // namespace drumwatch

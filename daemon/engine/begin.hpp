// What opens a watch: everything that the engine knows before its first frame. Recorded; a rerun starts from
// the same.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

#include "alarms/settings.hpp"
#include "core/channel.hpp"
#include "core/lessons.hpp"
#include "core/target.hpp"
#include "core/wall_time.hpp"
#include "engine/carried.hpp"

namespace drumwatch {

struct EngineSettings {
    std::int64_t tick_ms = 250;
    ChannelTable channels;
    AlarmSettings alarms;
    std::uint16_t bean_buses = 0;  ///< bit of the bus that carries the bean probe
    bool judge_trial = false;      ///< a rerun judges against a trial target too, and says so
};

struct Begin {
    std::uint64_t watch = 1;
    std::string build;
    std::string config_hash;
    WallTime wall;  ///< of the first tick; a label
    /// The machine's boot (a random id) and the time since it at the first tick: they tell the length of a
    /// gap without the wall clock.
    std::string boot;
    std::int64_t boot_ms = 0;
    EngineSettings settings;
    TargetPtr target;
    std::uint64_t next_roast = 1;
    Lessons lessons;
    /// From the newest drop in the record to the first tick, by the wall clock; nothing where none is known.
    std::optional<std::int64_t> idle_ms;
    Carried carried;
};

}  // namespace drumwatch

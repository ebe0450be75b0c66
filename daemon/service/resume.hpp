// How a daemon starts on a record that it finds: the newest watch is fed to a new engine, which then stands
// where the old one stood. With coffee in the drum or in the tray it goes on after a gap; else a new watch
// begins, and latched alarms outlive it. Thread: whoever opens the station.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>

#include "config/config.hpp"
#include "engine/engine.hpp"
#include "record/reader.hpp"
#include "service/box_clock.hpp"
#include "watch/refeed.hpp"

namespace drumwatch {

struct Resumed {
    std::shared_ptr<const RecordedWatch> watch;
    Engine engine;
    Tick next;               ///< first tick after the gap, on the watch's grid
    bool gap_known = false;  ///< else `next` is the very next tick, and the engine is to be told
    std::string sentence;    ///< for a person
};

struct ResumeChoice {
    std::optional<Resumed> resumed;
    AlarmBookMemory alarms;  ///< for the new watch where nothing is resumed
    std::string why_not;     ///< a sentence where a batch was under way and is not gone on with; else empty
};

/// Goes on only with a batch in the drum or in the tray, under the same configuration, after at most 15
/// minutes (judgement, no source). The length of the gap comes from the kernel's time since its boot where
/// that is still the same; else from the wall clock, if it was synchronised before the gap and is now; else
/// it is unknown. On a stepped station there is no gap.
ResumeChoice resume(RecordReader& reader, const Config& config, std::uint64_t newest_watch,
                    const ClockReading& now);

}  // namespace drumwatch

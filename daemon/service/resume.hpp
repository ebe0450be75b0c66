// A daemon that starts with coffee in the drum or in the tray: the newest watch of the record is fed to a new
// engine, which then stands where the old one stood, and goes on after a gap. Thread: whoever opens the
// station.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "config/config.hpp"
#include "engine/engine.hpp"
#include "record/reader.hpp"
#include "watch/refeed.hpp"

namespace drumwatch {

struct Resumed {
    std::shared_ptr<const RecordedWatch> watch;
    Engine engine;
    Tick next;                            ///< first tick after the gap, on the watch's grid
    std::vector<std::string> client_ids;  ///< of the watch's commands
    std::string sentence;                 ///< for a person
};

struct ResumeChoice {
    std::optional<Resumed> resumed;
    std::string why_not;  ///< a sentence where a batch was under way and is not gone on with; else empty
};

/// `now`: the wall clock, which tells the length of the gap; on a stepped station there is none. Goes on only
/// with a batch in the drum or in the tray, under the same configuration, after at most 15 minutes
/// (judgement, no source).
ResumeChoice resume(RecordReader& reader, const Config& config, std::uint64_t newest_watch, WallTime now);

}  // namespace drumwatch

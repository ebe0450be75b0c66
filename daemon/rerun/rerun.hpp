// A stored roast fed through the engine again. It drives nothing: no bus, no sounder, no record.
//
// The newest row at or before each grid instant goes into that instant's frame; only values of rows that are
// new since the instant before are fresh. A CSV carries no quality, commands or lessons, so a rerun of one
// agrees with the live roast to one tick. The rows' marks become a person's marks. Only rows up to an instant
// are ever looked at for it.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "core/event.hpp"
#include "core/late_facts.hpp"
#include "core/lessons.hpp"
#include "core/snapshot.hpp"
#include "engine/begin.hpp"
#include "files/roast_csv.hpp"

namespace drumwatch {

struct RerunOptions {
    TargetPtr target;
    bool ignore_marks = false;
    AlarmSettings alarms;
    Lessons lessons;
    std::int64_t tick_ms = 250;
    std::function<void(const Snapshot&)> each_tick;  ///< shown every picture; may be empty
};

/// One forecast of first crack, as it stood at a whole second; seconds since charge, but file_s since the
/// first row.
struct ForecastAt {
    double file_s = 0;
    double now_s = 0;
    double at_s = 0;
    double low_s = 0;
    double high_s = 0;
};

struct AlarmSpan {
    AlarmRule rule = AlarmRule::drift;
    Priority priority = Priority::medium;
    double raised_at_s = 0;  ///< since the first row
    std::optional<double> cleared_at_s;
};

struct RerunResult {
    bool charged = false;
    bool dropped = false;
    Tick charge;  ///< ticks are milliseconds since the first row
    MilestoneSet milestones;
    std::vector<ForecastAt> forecasts;
    FixedList<MoveView, 64> moves;
    DeviationSummary deviation;
    std::vector<AlarmSpan> alarms;
    Verdict verdict;
    std::vector<LateFinding> late;  ///< of weight and colour, where they were given
    TargetPtr target;
    Lessons lessons_after;  ///< what is known for the next roast, once the file has ended
    std::vector<Event> events;
};

/// The first roast that the file holds. Pure but for allocation; any thread.
RerunResult rerun(const RoastFile& file, const RerunOptions& options);

/// The object of README "Rerun"; stable.
std::string report_json(const RerunResult& result);
/// The same for a person.
std::string report_text(const RerunResult& result);

}  // namespace drumwatch

// Alarm events of the record, watch by watch, with who caused them. Thread: the reader's.
#pragma once

#include <map>
#include <optional>
#include <vector>

#include "service/alarm_log.hpp"

namespace drumwatch {

class AlarmChanges {
  public:
    explicit AlarmChanges(RecordReader& reader) : reader_(reader) {}

    /// Watches in the order of their numbers. A watch that begins anew has forgotten what was active.
    Result<Done> add(const WatchSpan& watch);
    /// What came before `to_ms`, in the order of time.
    std::vector<LoggedAlarm> take(std::int64_t to_ms);

  private:
    struct Known {
        AlarmRule rule = AlarmRule::bean_high_high;
        Priority priority = Priority::medium;
    };
    bool complete(AlarmTransition& what);
    Result<Done> add_events(const WatchSpan& watch);
    Result<Done> add_people(const WatchSpan& watch, std::size_t first);

    RecordReader& reader_;
    std::vector<LoggedAlarm> list_;
    std::map<std::uint64_t, Known> by_occurrence_;  ///< what only the onset's event says
    std::optional<std::int64_t> ended_ms_;          ///< of the watch before
};

}  // namespace drumwatch

// What happened to the alarms, out of the record. Thread: the reader's.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "alarms/figures/figures.hpp"
#include "core/result.hpp"
#include "record/reader.hpp"

namespace drumwatch {

/// Without a roast and without dates: the newest 30 days that were watched.
struct AlarmQuestion {
    std::optional<WallTime> from;
    std::optional<WallTime> to;  ///< that instant left out
    std::uint64_t roast = 0;     ///< from its charge to its drop; 0: all
};

/// From days such as "2026-11-25", each the whole of it, as the box's time zone has them; empty: not given.
/// The error is for whoever gave them.
Result<AlarmQuestion> alarm_question(const std::string& from_day, const std::string& to_day);

struct LoggedAlarm {
    AlarmTransition what;  ///< times are UTC in ms since 1970
    std::uint64_t watch = 0;
    std::optional<double> value;  ///< in the rule's unit; none where it measures nothing
    std::optional<double> limit;
    std::string reason;  ///< as given by whoever did it
};
/// "°C", or empty where the rule has no value.
std::string_view alarm_unit(AlarmRule rule);

struct AlarmLog {
    bool nothing = false;  ///< the record holds no watch yet
    AlarmPeriod period;
    /// In order, up to the period's end; also of the 7 days before it, since what was raised then may stand.
    std::vector<LoggedAlarm> changes;
};

Result<AlarmLog> read_alarm_log(RecordReader& reader, const AlarmQuestion& question);
AlarmFigures alarm_figures(const AlarmLog& log);

}  // namespace drumwatch

// How good the alarm system is: its figures over a period, from what happened to the alarms. PURE but for
// allocation; one thread.
//
// What is counted, and against what, follows ANSI/ISA-18.2, IEC 62682 and EEMUA 191, from memory and
// secondary sources; where only our own judgement stands behind a number, benchmarks.cpp says so. A stretch
// of time holds its end and not its beginning, as in flood_watch.hpp.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "alarms/figures/transition.hpp"

namespace drumwatch {

inline constexpr std::size_t kPriorities = 3;  ///< high, medium, low: in this order wherever they are counted

/// From one instant up to another, that one left out.
struct TimeSpan {
    std::int64_t from_ms = 0;
    std::int64_t to_ms = 0;
    friend bool operator==(const TimeSpan&, const TimeSpan&) = default;
};

struct AlarmDay {
    std::string label;  ///< such as "2026-11-25"
    TimeSpan span;
};

struct AlarmRoast {
    std::uint64_t id = 0;
    TimeSpan span;  ///< charge to drop, or as far as it is known
    bool dropped = false;
    bool good = false;  ///< its verdict was clear
};

struct ConfiguredRule {
    AlarmRule rule = AlarmRule::bean_high_high;
    Priority priority = Priority::medium;
};

/// What is looked at. All times on one clock, in ms.
struct AlarmPeriod {
    TimeSpan span;
    std::vector<TimeSpan> watched;   ///< in order and apart; rates and shares of time are of these only
    std::vector<AlarmDay> days;      ///< in order; they may reach beyond the period
    std::vector<AlarmRoast> roasts;  ///< in order
    std::vector<ConfiguredRule> configured;  ///< those that are on; empty: not known
};

struct AlarmFlood {
    TimeSpan span;           ///< from its 11th onset on
    std::size_t alarms = 0;  ///< onsets from the first of those that made it a flood up to its end
};

using ByPriority = std::array<std::size_t, kPriorities>;

struct DayFigures {
    std::string label;
    std::int64_t watched_ms = 0;
    std::size_t alarms = 0;
    ByPriority by_priority{};
    std::size_t stale = 0;  ///< alarms that were active for more than 24 h at some time of this day
};

struct RoastFigures {
    std::uint64_t id = 0;
    bool good = false;
    std::size_t alarms = 0;
    ByPriority by_priority{};
};

struct RuleFigures {
    AlarmRule rule = AlarmRule::bean_high_high;
    std::size_t alarms = 0;
    double share = 0;            ///< of all alarms
    std::size_t chattering = 0;  ///< times that it began to chatter
    std::size_t fleeting = 0;
    std::size_t stale_day = 0;     ///< active for more than 24 h
    std::size_t stale_roasts = 0;  ///< active over at least two whole roasts
    std::size_t unacknowledged = 0;
};

struct ReshelvedRule {
    std::uint64_t roast = 0;
    AlarmRule rule = AlarmRule::bean_high_high;
    std::size_t again = 0;  ///< times that it was shelved in this roast after the first
};

struct AlarmFigures {
    TimeSpan span;
    std::int64_t watched_ms = 0;
    std::size_t alarms = 0;
    std::size_t watched_days = 0;
    std::optional<double> per_day;  ///< mean of the days on which anything was watched
    std::size_t most_in_a_day = 0;

    std::size_t roasts = 0;
    std::size_t in_roasts = 0;  ///< alarms while a batch was in the drum
    std::optional<double> per_roast;
    std::size_t good_roasts = 0;
    std::optional<double> per_good_roast;

    std::optional<double> per_10_minutes;           ///< mean
    std::optional<double> per_10_minutes_roasting;  ///< mean while a batch was in the drum
    std::size_t most_in_10_minutes = 0;
    std::optional<double> crowded_share;  ///< of the time: more than 10 in the 10 minutes before

    std::vector<AlarmFlood> floods;
    std::int64_t longest_flood_ms = 0;
    std::optional<double> flood_share;  ///< of the time

    std::size_t chattering = 0;
    std::size_t fleeting = 0;
    std::size_t stale_day = 0;
    std::size_t most_stale_in_a_day = 0;
    std::size_t stale_roasts = 0;

    std::size_t nameless = 0;  ///< times shelved or taken out of service without anybody's name

    ByPriority by_priority{};
    ByPriority configured{};  ///< rules that are on; none: not known
    double top_ten_share = 0;

    std::size_t acknowledged = 0;
    std::size_t unacknowledged = 0;  ///< until the period's end
    std::optional<double> median_acknowledge_s;
    std::optional<double> percentile_90_acknowledge_s;

    std::vector<DayFigures> by_day;      ///< as the period's days, but for those without any watching
    std::vector<RoastFigures> by_roast;  ///< as the period's roasts
    std::vector<RuleFigures> rules;      ///< those of which there is anything to say, the most frequent first
    std::vector<ReshelvedRule> reshelved;  ///< shelved again more than twice in a roast
};

/// `transitions` in the order of their times. Those before the period count only for what still stands in it;
/// later ones are left out.
AlarmFigures alarm_figures(const std::vector<AlarmTransition>& transitions, const AlarmPeriod& period);

}  // namespace drumwatch

// Each figure beside what it is held against, and the rules that spoil them. PURE but for allocation.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

#include "alarms/figures/figures.hpp"

namespace drumwatch {

enum class BenchmarkStand : std::uint8_t { within, look, beyond, not_judged };
std::string_view name(BenchmarkStand stand);  ///< the word of files and API, and for a person

struct Benchmark {
    std::string_view name;        ///< the word of files and API
    std::string_view words;       ///< for a person, without the unit
    std::optional<double> value;  ///< none: there is nothing to reckon it from
    std::string_view unit;        ///< "%", "min", "s" or empty
    std::string_view benchmark;   ///< in words; empty: none
    std::string_view source;      ///< of the benchmark
    BenchmarkStand stand = BenchmarkStand::not_judged;
};

std::vector<Benchmark> benchmarks(const AlarmFigures& figures);

enum class Annoyance : std::uint8_t { chattering, fleeting, stale, reshelved, frequent, unanswered };
inline constexpr std::size_t kAnnoyances = 6;
std::string_view name(Annoyance annoyance);

/// A rule that is more trouble than help, why, and what may be done.
struct BadActor {
    AlarmRule rule = AlarmRule::bean_high_high;
    Annoyance why = Annoyance::chattering;
    std::size_t times = 0;
};

/// By rule, the most frequent first. From when on a rule is called frequent (more than half of at least 10
/// alarms) or unanswered (more than half of its own, and at least 3): judgement, no source.
std::vector<BadActor> bad_actors(const AlarmFigures& figures);

/// Whether an alarm of this rule stands before a danger, or is the only word of it. Nothing that is suggested
/// for it delays it, moves its limit or makes it quieter: its cause is to be found.
bool guards_against_danger(AlarmRule rule);
/// Why it is named, after the number of times: "2 times it came and went again and again".
std::string_view words(Annoyance why);
std::string_view suggestion(AlarmRule rule, Annoyance why);

}  // namespace drumwatch

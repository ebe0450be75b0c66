#include "service/resume.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "service/recorded_watch.hpp"

namespace drumwatch {

namespace {

constexpr std::int64_t kLongestGap_ms = 15 * 60'000;
constexpr std::int64_t kLongestWatch_ms = 24 * 3'600'000;
constexpr double kClockSlack_ms = 5'000;  // a clock that was set right meanwhile; rounding to the grid

bool has(const Snapshot& stood, Health health) {
    return (stood.health_bad >> static_cast<unsigned>(health)) & 1u;
}

bool lost_time_before(const RecordedWatch& watch) {
    return std::any_of(watch.observations.begin(), watch.observations.end(),
                       [](const Observation& seen) { return seen.health == Health::gap_unknown; });
}

/// Station time from the watch's last frame to now, by what went by since its first.
std::int64_t since_last(const RecordedWatch& watch, const Config& config, std::int64_t since_first_ms) {
    const double speed = config.simulated ? config.simulated->speed : 1;
    const Tick last = watch.frames.back().tick;
    return static_cast<std::int64_t>(static_cast<double>(since_first_ms) * speed) -
           (last - watch.begin.carried.first);
}

/// By the wall clock, synchronised or not: a clock without a battery stands too early, never too late.
std::int64_t wall_gap_ms(const RecordedWatch& watch, const Config& config, const ClockReading& now,
                         WallTime began) {
    return since_last(watch, config, now.wall.unix_ms - began.unix_ms);
}

std::optional<std::int64_t> gap_ms(const RecordedWatch& watch, const Config& config, const Snapshot& stood,
                                   const ClockReading& now, WallTime began) {
    if (config.simulated && config.simulated->stepped) return watch.begin.settings.tick_ms;
    if (lost_time_before(watch)) return std::nullopt;
    const double speed = config.simulated ? config.simulated->speed : 1;
    std::int64_t gap = 0;
    if (!now.boot.empty() && now.boot == watch.begin.boot) {
        gap = since_last(watch, config, now.boot_ms - watch.begin.boot_ms);
    } else if (now.synchronised && !has(stood, Health::clock_unsynchronised)) {
        gap = wall_gap_ms(watch, config, now, began);
    } else {
        return std::nullopt;
    }
    const bool possible = static_cast<double>(gap) > -kClockSlack_ms * speed;
    return possible ? std::optional(std::max<std::int64_t>(gap, 0)) : std::nullopt;
}

Tick on_grid(Tick last, std::int64_t gap_ms, std::int64_t tick_ms) {
    const std::int64_t ticks = std::max<std::int64_t>(1, (gap_ms + tick_ms - 1) / tick_ms);
    return last + ticks * tick_ms;
}

std::string what(const Snapshot& stood) {
    return stood.roast ? fmt::format("roast {} in the drum", stood.roast->id)
                       : fmt::format("batch {} in the tray", stood.cooling->id);
}

/// A watch that can't be run again: said where the record knows of a roast that was broken off in it.
ResumeChoice unread(RecordReader& reader, std::uint64_t watch, const std::string& why) {
    const auto newest = reader.roasts(1, 0);
    if (!newest || newest.value().empty()) return {};
    const RoastRecord& roast = newest.value().front();
    if (roast.watch != watch || roast.state != RoastState::interrupted) return {};
    ResumeChoice choice;
    choice.why_not = fmt::format("roast {} is not gone on with: of its watch, {}", roast.id, why);
    return choice;
}

}  // namespace

ResumeChoice resume(RecordReader& reader, const Config& config, std::uint64_t newest_watch,
                    const ClockReading& now) {
    const auto row = reader.watch(newest_watch);
    if (!row || !row.value()) return {};
    const WallTime began = row.value()->began;
    if (now.wall.unix_ms - began.unix_ms > kLongestWatch_ms)
        return unread(reader, newest_watch, "it is too long to be run again at a start");
    auto read = read_watch(reader, newest_watch);
    if (!read) return unread(reader, newest_watch, read.error());
    if (read.value().frames.empty()) return {};
    auto watch = std::make_shared<const RecordedWatch>(std::move(read.value()));
    Engine engine = refeed(*watch, [](const Snapshot&, const std::vector<Event>&) {});
    const Snapshot& stood = engine.snapshot();
    ResumeChoice choice;
    choice.alarms = after_restart(engine.carry({}).alarms, config.alarms, Tick{});
    if (!stood.roast && !stood.cooling) return choice;
    const auto refuse = [&](const std::string& why) {
        choice.why_not = fmt::format("{} is not gone on with: {}", what(stood), why);
        return choice;
    };
    if (watch->begin.config_hash != config.hash) return refuse("the configuration has changed");
    const auto gap = gap_ms(*watch, config, stood, now, began);
    const std::int64_t at_least_ms = gap.value_or(wall_gap_ms(*watch, config, now, began));
    const std::string length = fmt::format("{:.0f} s", static_cast<double>(at_least_ms) / 1000);
    if (at_least_ms > kLongestGap_ms) return refuse("its last reading is " + length + " old");
    const Tick next = on_grid(watch->frames.back().tick, gap.value_or(0), config.tick_ms);
    const std::string sentence =
        gap ? fmt::format("{} goes on after a gap of {}", what(stood), length)
            : fmt::format(
                  "{} goes on after a gap of unknown length (the clock can't tell): it can't be judged",
                  what(stood));
    choice.resumed.emplace(Resumed{watch, std::move(engine), next, gap.has_value(), sentence});
    return choice;
}

}  // namespace drumwatch

#include "service/resume.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "service/recorded_watch.hpp"

namespace drumwatch {

namespace {

constexpr std::int64_t kLongestGap_ms = 15 * 60'000;
constexpr std::int64_t kLongestWatch_ms = 12 * 3'600'000;  // reckoned: some 50 MB of frames at 4 Hz
constexpr double kClockSlack_ms = 5'000;  // a clock that was set right meanwhile; rounding to the grid

/// Station time from the watch's last frame to now; nothing where the clock can't be right.
std::optional<std::int64_t> gap_ms(const RecordedWatch& watch, const Config& config, WallTime now) {
    if (config.simulated && config.simulated->stepped) return watch.begin.settings.tick_ms;
    const double speed = config.simulated ? config.simulated->speed : 1;
    const auto since_begin = static_cast<double>(now.unix_ms - watch.begin.wall.unix_ms) * speed;
    const auto gap = static_cast<std::int64_t>(since_begin) - watch.frames.back().tick.ms;
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

ResumeChoice refuse(const Snapshot& stood, const std::string& why) {
    return {std::nullopt, fmt::format("{} is not gone on with: {}", what(stood), why)};
}

/// A watch that can't be run again: said where the record knows of a roast that was broken off in it.
ResumeChoice unread(RecordReader& reader, std::uint64_t watch, const std::string& why) {
    const auto newest = reader.roasts(1, 0);
    if (!newest || newest.value().empty()) return {};
    const RoastRecord& roast = newest.value().front();
    if (roast.watch != watch || roast.state != RoastState::interrupted) return {};
    return {std::nullopt, fmt::format("roast {} is not gone on with: of its watch, {}", roast.id, why)};
}

}  // namespace

ResumeChoice resume(RecordReader& reader, const Config& config, std::uint64_t newest_watch, WallTime now) {
    const auto row = reader.watch(newest_watch);
    if (row && row.value() && now.unix_ms - row.value()->began.unix_ms > kLongestWatch_ms)
        return unread(reader, newest_watch, "it is too long to be run again at a start");
    auto read = read_watch(reader, newest_watch);
    if (!read) return unread(reader, newest_watch, read.error());
    if (read.value().frames.empty()) return {};
    auto watch = std::make_shared<const RecordedWatch>(std::move(read.value()));
    Engine engine = refeed(*watch, [](const Snapshot&, const std::vector<Event>&) {});
    const Snapshot& stood = engine.snapshot();
    if (!stood.roast && !stood.cooling) return {};
    if (watch->begin.config_hash != config.hash) return refuse(stood, "the configuration has changed");
    const auto gap = gap_ms(*watch, config, now);
    if (!gap) return refuse(stood, "the clock stands before its last reading, so the gap is unknown");
    const std::string length = fmt::format("{:.0f} s", static_cast<double>(*gap) / 1000);
    if (*gap > kLongestGap_ms) return refuse(stood, "its last reading is " + length + " old");
    Resumed resumed{
        watch, std::move(engine), on_grid(watch->frames.back().tick, *gap, config.tick_ms), {}, {}};
    for (const Command& command : watch->commands) resumed.client_ids.push_back(command.client_id);
    resumed.sentence = fmt::format("{} goes on after a gap of {}", what(resumed.engine.snapshot()), length);
    return {std::move(resumed), {}};
}

}  // namespace drumwatch

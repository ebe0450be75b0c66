// `rerun RECORD --watch N`: the same engine, fed with what was recorded, must say the same.
#include <fmt/format.h>

#include <algorithm>

#include "commands/commands.hpp"
#include "commands/rerun_watch.hpp"
#include "record/reader.hpp"
#include "service/recorded_watch.hpp"
#include "watch/journal.hpp"

namespace drumwatch {

namespace {

constexpr std::size_t kContext = 3;  // lines before the first difference

std::vector<std::string> journal_of(const RecordedWatch& watch) {
    std::vector<std::string> lines;
    refeed(watch, [&](const Snapshot&, const std::vector<Event>& events) {
        for (const Event& event : events) lines.push_back(journal_line(journal_entry(event)));
    });
    return lines;
}

std::string line_or_end(const std::vector<std::string>& lines, std::size_t i) {
    return i < lines.size() ? lines[i] : "(the journal ends here)";
}

/// The first line that differs, with what stands before it.
void say_difference(const std::vector<std::string>& live, const std::vector<std::string>& again) {
    const auto differs = std::mismatch(live.begin(), live.end(), again.begin(), again.end());
    const auto at = static_cast<std::size_t>(differs.first - live.begin());
    fmt::print("the journals differ from line {} on\n", at + 1);
    for (std::size_t i = at > kContext ? at - kContext : 0; i < at; ++i) fmt::print("  both:  {}\n", live[i]);
    fmt::print("  live:  {}\n  rerun: {}\n", line_or_end(live, at), line_or_end(again, at));
}

}  // namespace

int rerun_watch(const std::string& record, std::uint64_t id, bool print_journal) {
    auto reader = RecordReader::open(record);
    if (!reader) {
        fmt::print(stderr, "{}\n", reader.error());
        return kWrongInput;
    }
    const auto watch = read_watch(*reader.value(), id);
    if (!watch) {
        fmt::print(stderr, "{}: {}\n", record, watch.error());
        return kWrongInput;
    }
    const auto again = journal_of(watch.value());
    if (print_journal) {
        for (const std::string& line : again) fmt::print("{}\n", line);
        return kDone;
    }
    const auto live = read_journal(*reader.value(), id);
    if (!live) {
        fmt::print(stderr, "{}: {}\n", record, live.error());
        return kFailed;
    }
    if (watch.value().begin.build != DRUMWATCH_VERSION)
        fmt::print("recorded by build {}, run again by {}\n", watch.value().begin.build, DRUMWATCH_VERSION);
    fmt::print("watch {}: {} frames, {} commands, {} lines of journal\n", id, watch.value().frames.size(),
               watch.value().commands.size(), live.value().size());
    if (live.value() == again) {
        fmt::print("the rerun agrees with the live journal\n");
        return kDone;
    }
    say_difference(live.value(), again);
    return kFailed;
}

}  // namespace drumwatch

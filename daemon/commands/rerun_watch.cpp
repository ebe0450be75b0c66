// `rerun RECORD --watch N`, `rerun WATCHFILE`: the same engine, fed with what was recorded, must say the
// same.
#include <fmt/format.h>

#include <algorithm>
#include <fstream>
#include <iterator>

#include "commands/commands.hpp"
#include "commands/rerun_watch.hpp"
#include "files/file_bytes.hpp"
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

std::size_t only_in(std::vector<std::string> these, std::vector<std::string> those) {
    std::sort(these.begin(), these.end());
    std::sort(those.begin(), those.end());
    std::vector<std::string> only;
    std::set_difference(these.begin(), these.end(), those.begin(), those.end(), std::back_inserter(only));
    return only.size();
}

/// The first line that differs, with what stands before it.
void say_difference(const std::vector<std::string>& live, const std::vector<std::string>& again) {
    const auto differs = std::mismatch(live.begin(), live.end(), again.begin(), again.end());
    const auto at = static_cast<std::size_t>(differs.first - live.begin());
    fmt::print("the journals differ from line {} on\n", at + 1);
    for (std::size_t i = at > kContext ? at - kContext : 0; i < at; ++i) fmt::print("  both:  {}\n", live[i]);
    fmt::print("  live:  {}\n  rerun: {}\n", line_or_end(live, at), line_or_end(again, at));
    fmt::print("in all, {} lines stand in the live journal only and {} in the rerun only\n",
               only_in(live, again), only_in(again, live));
}

constexpr std::size_t kMostBytes = std::size_t{1} << 30;

/// A file's text, unpacked where it is packed.
Result<std::string> read_text(const std::string& path) {
    auto bytes = read_file_bytes(path, kMostBytes);
    return bytes && looks_like_gzip(bytes.value()) ? unpack_gzip(bytes.value(), kMostBytes) : bytes;
}

}  // namespace

Result<WatchFile> load_watch(const std::string& record, std::uint64_t id) {
    auto reader = RecordReader::open(record);
    if (!reader) return Error{reader.error()};
    auto watch = read_whole_watch(*reader.value(), id);
    if (!watch) return Error{fmt::format("{}: {}", record, watch.error())};
    return watch;
}

Holds look_into(const std::string& path) {
    constexpr std::string_view kDatabase = "SQLite format 3";  // sqlite.org/fileformat2.html, 1.3
    std::ifstream file(path, std::ios::binary);
    char head[4096];
    file.read(head, sizeof head);
    const std::string_view bytes(head, static_cast<std::size_t>(file.gcount()));
    if (bytes.substr(0, kDatabase.size()) == kDatabase) return Holds::record;
    if (looks_like_watch_file(std::string(bytes))) return Holds::watch;
    if (!looks_like_gzip(bytes)) return Holds::roast;
    const auto whole = read_text(path);
    return whole && looks_like_watch_file(whole.value()) ? Holds::watch : Holds::roast;
}

Result<WatchFile> load_watch_file(const std::string& path) {
    const auto text = read_text(path);
    if (!text) return Error{fmt::format("{}: {}", path, text.error())};
    auto file = parse_watch_file(text.value());
    if (!file) return Error{fmt::format("{}: {}", path, file.error())};
    return file;
}

int rerun_watch(const WatchFile& file, bool print_journal) {
    const RecordedWatch& watch = file.watch;
    const auto again = journal_of(watch);
    if (print_journal) {
        for (const std::string& line : again) fmt::print("{}\n", line);
        return kDone;
    }
    if (watch.begin.build != DRUMWATCH_VERSION)
        fmt::print("recorded by build {}, run again by {}\n", watch.begin.build, DRUMWATCH_VERSION);
    fmt::print("watch {}: {} frames, {} commands, {} lines of journal\n", watch.begin.watch,
               watch.frames.size(), watch.commands.size(), file.journal.size());
    if (file.journal == again) {
        fmt::print("the rerun agrees with the live journal\n");
        return kDone;
    }
    say_difference(file.journal, again);
    return kFailed;
}

}  // namespace drumwatch

#include "service/recorded_watch.hpp"

#include <fmt/format.h>

#include <limits>

#include "watch/journal.hpp"
#include "watch/watch_text.hpp"

namespace drumwatch {

namespace {

constexpr Tick kEver{std::numeric_limits<std::int64_t>::max() / 2};

Result<Begin> begin_of(RecordReader& reader, std::uint64_t id) {
    const auto row = reader.watch(id);
    if (!row) return Error{row.error()};
    if (!row.value()) return Error{fmt::format("there is no watch {} in the record", id)};
    return parse_begin(row.value()->begin);
}

Result<Done> add_commands(RecordReader& reader, RecordedWatch& watch) {
    const auto rows = reader.commands(watch.begin.watch);
    if (!rows) return Error{rows.error()};
    for (const CommandRow& row : rows.value()) {
        auto command = parse_command(row.body);
        if (!command) return Error{command.error()};
        command.value().who = row.who;
        command.value().client_id = row.client_id;
        watch.commands.push_back(std::move(command.value()));
    }
    return Done{};
}

Result<Done> add_observations(RecordReader& reader, RecordedWatch& watch) {
    const auto rows = reader.observations(watch.begin.watch);
    if (!rows) return Error{rows.error()};
    for (const ObservationRow& row : rows.value()) {
        const auto observation = parse_observation(Tick{row.tick_ms}, row.health, row.index, row.bad);
        if (!observation) return Error{observation.error()};
        watch.observations.push_back(observation.value());
    }
    return Done{};
}

}  // namespace

Result<RecordedWatch> read_watch(RecordReader& reader, std::uint64_t id) {
    auto begin = begin_of(reader, id);
    if (!begin) return Error{begin.error()};
    RecordedWatch watch;
    watch.begin = std::move(begin.value());
    auto frames = reader.frames(id, Tick{0}, kEver);
    if (!frames) return Error{frames.error()};
    watch.frames = std::move(frames.value());
    for (const auto add : {add_commands, add_observations}) {
        const auto added = add(reader, watch);
        if (!added) return Error{added.error()};
    }
    return watch;
}

Result<std::vector<std::string>> read_journal(RecordReader& reader, std::uint64_t id) {
    const auto rows = reader.events(id, Tick{0}, kEver);
    if (!rows) return Error{rows.error()};
    std::vector<std::string> lines;
    for (const EventRow& row : rows.value())
        lines.push_back(journal_line({row.tick_ms, row.at_ms, row.kind, row.roast, row.body, row.text}));
    return lines;
}

Result<WatchFile> read_whole_watch(RecordReader& reader, std::uint64_t id) {
    auto watch = read_watch(reader, id);
    if (!watch) return Error{watch.error()};
    auto journal = read_journal(reader, id);
    if (!journal) return Error{journal.error()};
    const auto row = reader.watch(id);
    if (!row || !row.value()) return Error{fmt::format("watch {} can't be read any more", id)};
    return WatchFile{std::move(watch.value()), row.value()->began, std::move(journal.value())};
}

}  // namespace drumwatch

#include "filled_record.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cstdlib>

#include "record/open_record.hpp"
#include "support/sample_record.hpp"

namespace drumwatch {

[[noreturn]] void give_up(const std::string& why) {
    fmt::print(stderr, "{}\n", why);
    std::exit(1);
}

std::unique_ptr<BatchWriter> writer_of(const std::string& path) {
    auto opened = open_record(path);
    if (!opened) give_up(opened.error());
    if (auto set = opened.value().database.run("PRAGMA synchronous=OFF"); !set) give_up(set.error());
    auto writer = BatchWriter::make(std::move(opened.value()), {path});
    if (!writer) give_up(writer.error());
    return std::move(writer.value());
}

void commit(BatchWriter& writer, const CommitGroup& group) {
    const Outcome outcome = writer.commit(group);
    if (!outcome.written || !outcome.refused_rows.empty()) give_up(outcome.complaint + outcome.notice);
}

void tidy(BatchWriter& writer, bool quiet) {
    std::string notice;
    while (writer.upkeep(quiet, notice)) {
    }
    if (!notice.empty()) give_up(notice);
}

WatchRow watch_of(std::uint64_t id) {
    WatchRow watch = sample_watch(id);
    watch.begin = std::string(20'000, ' ');
    return watch;
}

void fill(const std::string& path, std::uint64_t roasts) {
    auto writer = writer_of(path);
    for (std::uint64_t id = 1; id <= roasts; ++id) {
        const std::uint64_t watch = (id + 9) / 10;
        const auto from = static_cast<std::int64_t>(id % 10) * 60'000;
        CommitGroup group;
        if (id % 10 == 1) group.rows.push_back(Row{watch_of(watch)});
        group.rows.push_back(Row{sample_roast_row(id, watch, from, 10)});
        group.rows.push_back(Row{sample_event(watch, id, from)});
        group.rows.push_back(Row{sample_command(watch, from, fmt::format("{}", id))});
        for (const Frame& frame : sample_roast(1, from, 10)) group.frames.push_back({watch, frame});
        if (id % 10 == 0) group.rows.push_back(Row{WatchEnd{watch, 700'000}});
        commit(*writer, group);
    }
    tidy(*writer, true);
}

double median(std::vector<double> values) {
    std::sort(values.begin(), values.end());
    return values[values.size() / 2];
}

}  // namespace drumwatch

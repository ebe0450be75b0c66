// A record in a folder of its own, written row by row, for tests of its upkeep.
#pragma once

#include <doctest/doctest.h>

#include <algorithm>
#include <span>
#include <string>
#include <vector>

#include "record/open_record.hpp"
#include "record/reader.hpp"
#include "record/upkeep.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {

/// Durability is proved elsewhere (tests/faults); here it would only be slow.
struct Site {
    TempDir folder;
    std::string path = folder.file("record.db");
    OpenedRecord opened;
    RowWriter rows;

    Site()
        : opened(std::move(open_record(path).value())),
          rows(std::move(RowWriter::prepare(opened.database).value())) {
        REQUIRE(opened.database.run("PRAGMA synchronous=OFF").ok());
    }

    void put(const Row& row) { REQUIRE(rows.write(row).ok()); }
    /// `at_once` in a row.
    void put_frames(std::uint64_t watch, const std::span<const Frame> frames, std::size_t at_once) {
        REQUIRE(opened.database.run("BEGIN").ok());
        for (std::size_t i = 0; i < frames.size(); i += at_once) {
            const auto part = frames.subspan(i, std::min(at_once, frames.size() - i));
            for (const auto& packed : pack_rows(part)) {
                REQUIRE(rows.write_frames(watch, packed, FrameForm::written).ok());
            }
        }
        REQUIRE(opened.database.run("COMMIT").ok());
    }
    std::vector<Frame> frames(std::uint64_t watch, std::int64_t from, std::int64_t to) {
        auto reader = RecordReader::open(path);
        REQUIRE_MESSAGE(reader.ok(), reader.error());
        return reader.value()->frames(watch, {from}, {to}).value();
    }
    /// A reader, and a rerun, rely on there being none.
    std::int64_t overlapping_rows() {
        return opened.database
            .number(
                "SELECT count(*) FROM (SELECT from_ms <= lag(to_ms) OVER (PARTITION BY watch ORDER BY "
                "from_ms) "
                "AS late FROM frames) WHERE late")
            .value();
    }
    void end(std::uint64_t watch) { put(Row{WatchEnd{watch, 0}}); }
};

inline std::vector<Frame> within(const std::vector<Frame>& frames, std::int64_t from, std::int64_t to) {
    std::vector<Frame> part;
    for (const Frame& frame : frames) {
        if (frame.tick.ms >= from && frame.tick.ms <= to) part.push_back(frame);
    }
    return part;
}

/// Until nothing is left to do; how many steps that took.
inline int run(Upkeep& upkeep, WallTime now) {
    int steps = 0;
    for (auto more = upkeep.keep_within(now);; more = upkeep.keep_within(now)) {
        REQUIRE_MESSAGE(more.ok(), more.error());
        if (!more.value()) return steps;
        REQUIRE(++steps < 10'000);
    }
}

}  // namespace drumwatch

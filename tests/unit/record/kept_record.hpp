// Records for tests of their keeping: written by the real recorder, changed by another hand.
#pragma once

#include <doctest/doctest.h>

#include <fstream>
#include <iterator>
#include <string>

#include "record/database.hpp"
#include "record/recorder.hpp"
#include "support/sample_record.hpp"

namespace drumwatch {

inline constexpr WallTime kNow{1'764'067'327'250};  // 2025-11-25T10:42:07.250Z

/// A record with `roasts` roasts of one minute, written by the real recorder.
inline void write_record(const std::string& path, std::uint64_t roasts) {
    auto recorder = Recorder::open({path});
    REQUIRE_MESSAGE(recorder.ok(), recorder.error());
    for (std::uint64_t id = 1; id <= roasts; ++id) {
        recorder.value()->begin_watch(sample_watch(id));
        for (const Frame& frame : sample_roast(id, 0, 60)) recorder.value()->append(frame);
        recorder.value()->put(sample_roast_row(id, id, 1'000, 50));
        recorder.value()->append(sample_event(id, id, 2'000));
        recorder.value()->append(sample_command(id, 3'000, "tablet-" + std::to_string(id)), nullptr);
    }
}

inline std::string bytes_of(const std::string& path) {
    std::ifstream file(path, std::ios::binary);
    return std::string(std::istreambuf_iterator<char>(file), {});
}
inline void write_bytes(const std::string& path, const std::string& bytes) {
    std::ofstream(path, std::ios::binary) << bytes;
}

inline void change(const std::string& path, const std::string& sql) {
    auto database = Database::open(path, OpenMode::read_write);
    REQUIRE(database.ok());
    const auto done = database.value().run("PRAGMA foreign_keys=OFF; " + sql);
    REQUIRE_MESSAGE(done.ok(), done.error());
    REQUIRE(database.value().changes() > 0);
}

}  // namespace drumwatch

#include "record_batches.hpp"

#include <doctest/doctest.h>

#include <algorithm>

#include "record/batch_writer.hpp"
#include "record/reader.hpp"
#include "support/sample_record.hpp"

namespace drumwatch {
namespace {

std::vector<Frame> frames_of(int i) { return sample_roast(static_cast<std::uint64_t>(i), i * 1000, 1); }

std::int64_t count(Database& database, const std::string& of) {
    const auto found = database.number("SELECT count(*) FROM " + of);
    CHECK_MESSAGE(found.ok(), of);
    return found.ok() ? found.value() : -1;
}

void check_whole(const std::string& path) {
    auto opened = open_record(path);
    REQUIRE_MESSAGE(opened.ok(), opened.error());
    Database& database = opened.value().database;
    CHECK(database.text("PRAGMA integrity_check").value() == "ok");
    CHECK(database.text("PRAGMA foreign_key_check").value().empty());
    for (const std::string& sentence : opened.value().found.sentences) {
        CHECK(sentence.find("damaged") == std::string::npos);
    }
    for (int i = 0; i < kBatches; ++i) {
        CAPTURE(i);
        const std::int64_t there = count(database, "commands WHERE client_id='" + std::to_string(i) + "'");
        CHECK(there <= 1);
        CHECK(count(database, "events WHERE tick_ms=" + std::to_string(i * 1000)) == there);
    }
}

}  // namespace

CommitGroup batch_of(int i) {
    CommitGroup batch;
    if (i == 0) {
        batch.rows.push_back(Row{sample_watch(1)});
        batch.rows.push_back(Row{sample_roast_row(1, 1, 0, 600)});
    }
    batch.rows.push_back(Row{sample_event(1, 1, i * 1000)});
    batch.rows.push_back(Row{sample_command(1, i * 1000, std::to_string(i))});
    for (const Frame& frame : frames_of(i)) batch.frames.push_back({1, frame});
    return batch;
}

void write_batches(BatchWriter& writer, int tries, std::set<int>& recorded) {
    for (int i = 0; i < kBatches; ++i) {
        for (int attempt = 0; attempt < tries && recorded.count(i) == 0; ++attempt) {
            const Outcome outcome = writer.commit(batch_of(i));
            // A batch whose watch is not there yet is refused for good, which is not "recorded".
            if (outcome.written && outcome.refused_rows.empty()) recorded.insert(i);
            if (!outcome.written) CHECK(!outcome.complaint.empty());
        }
        std::string notice;
        (void)writer.upkeep(true, notice);
    }
}

std::set<int> write_all(const std::string& path, int tries) {
    std::set<int> recorded;
    auto opened = open_record(path);
    if (!opened) return recorded;
    auto writer = BatchWriter::make(std::move(opened.value()), {path});
    if (!writer) return recorded;
    write_batches(*writer.value(), tries, recorded);
    return recorded;
}

void check_after(const std::string& path, const std::set<int>& recorded) {
    check_whole(path);
    const auto reader = RecordReader::open(path);
    REQUIRE_MESSAGE(reader.ok(), reader.error());
    const auto commands = reader.value()->commands(1);
    const auto frames = reader.value()->frames(1, Tick{0}, Tick{kBatches * 1000});
    REQUIRE(commands.ok());
    REQUIRE(frames.ok());
    std::vector<Frame> expected;
    for (const CommandRow& command : commands.value()) {
        for (const Frame& frame : frames_of(std::stoi(command.client_id))) expected.push_back(frame);
    }
    CHECK(same_frames(frames.value(), expected));
    for (const int i : recorded) {
        CAPTURE(i);
        CHECK(std::any_of(commands.value().begin(), commands.value().end(),
                          [&](const CommandRow& one) { return one.client_id == std::to_string(i); }));
    }
}

}  // namespace drumwatch

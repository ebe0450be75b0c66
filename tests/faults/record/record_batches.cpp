#include "record_batches.hpp"

#include <doctest/doctest.h>

#include <algorithm>
#include <chrono>
#include <future>

#include "record/batch_writer.hpp"
#include "record/reader.hpp"
#include "record/verify.hpp"
#include "support/sample_record.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {
namespace {

std::vector<Frame> frames_of(int i) { return sample_roast(static_cast<std::uint64_t>(i), i * 1000, 1); }

std::int64_t count(Database& database, const std::string& of) {
    const auto found = database.number("SELECT count(*) FROM " + of);
    CHECK_MESSAGE(found.ok(), of);
    return found.ok() ? found.value() : -1;
}

#ifdef DRUMWATCH_SANITIZED
constexpr int kVerifiedEach = 7;
#else
constexpr int kVerifiedEach = 1;
#endif

/// Seals and values of every record; under the sanitizers, where that takes minutes, of each seventh.
void check_values(const std::string& path) {
    static int records = 0;
    if (records++ % kVerifiedEach != 0) return;
    const auto found = verify_record(path);
    REQUIRE_MESSAGE(found.ok(), found.error());
    for (const auto* sentences : {&found.value().damage, &found.value().changed})
        for (const std::string& sentence : *sentences) CHECK_MESSAGE(false, sentence);
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
    check_values(path);
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
        // Over before the recording begins: it is sealed at once, and anew with each event.
        batch.rows.push_back(Row{sample_roast_row(1, 1, -400'000, 60)});
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

bool commit_command(Recorder& recorder, const std::string& id) {
    std::promise<bool> done;
    auto answer = done.get_future();
    recorder.append(sample_command(0, 1, id), [&done](bool ok) { done.set_value(ok); });
    REQUIRE(answer.wait_for(std::chrono::seconds(60)) == std::future_status::ready);
    return answer.get();
}

std::unique_ptr<Recorder> roasting_recorder(const std::string& path) {
    auto opened = Recorder::open({path});
    REQUIRE_MESSAGE(opened.ok(), opened.error());
    opened.value()->begin_watch(sample_watch(1));
    opened.value()->busy(true);
    REQUIRE(commit_command(*opened.value(), "before"));
    return std::move(opened.value());
}

void check_failing_and_back(const std::function<void()>& fail, const std::function<void()>& heal) {
    const TempDir folder;
    const std::string path = folder.file("record.db");
    const auto recorder = roasting_recorder(path);
    CHECK(recorder->status().writing);
    fail();
    const auto frames = sample_roast(3, 0, 60);
    for (const Frame& frame : frames) recorder->append(frame);
    recorder->append(sample_event(0, 0, 5));
    CHECK_FALSE(commit_command(*recorder, "during"));
    RecorderStatus status = recorder->status();
    CHECK_FALSE(status.writing);
    CHECK(status.failures >= 1);
    CHECK(status.complaint.find("can't be written") != std::string::npos);
    CHECK(status.waiting >= frames.size());
    heal();
    CHECK(commit_command(*recorder, "after"));
    status = recorder->status();
    CHECK(status.writing);
    CHECK(status.frames_lost == 0);
    const auto reader = RecordReader::open(path);
    REQUIRE_MESSAGE(reader.ok(), reader.error());
    CHECK(same_frames(reader.value()->frames(1, {0}, {1'000'000}).value(), frames));
    CHECK(reader.value()->commands(1).value().size() == 3);
    CHECK(reader.value()->events(1, {0}, {100}).value().size() == 1);
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

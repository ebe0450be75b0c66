// The Nth write, sync or truncation fails, once and for ever; power goes with everything unsynced lost. After
// each the file is whole, and what was said to be recorded is there exactly once.
#include <doctest/doctest.h>

#include <chrono>
#include <functional>
#include <future>
#include <set>
#include <thread>

#include "record/batch_writer.hpp"
#include "record/reader.hpp"
#include "support/fault_vfs.hpp"
#include "support/random.hpp"
#include "support/sample_record.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {
namespace {

using namespace std::chrono_literals;

constexpr int kBatches = 8;

/// The i-th commit: a second of frames, an event and a command; the first begins the watch and a roast.
CommitGroup batch_of(int i) {
    CommitGroup batch;
    if (i == 0) {
        batch.rows.push_back(Row{sample_watch(1)});
        batch.rows.push_back(Row{sample_roast_row(1, 1, 0, 600)});
    }
    batch.rows.push_back(Row{sample_event(1, 1, i * 1000)});
    batch.rows.push_back(Row{sample_command(1, i * 1000, std::to_string(i))});
    for (const Frame& frame : sample_roast(static_cast<std::uint64_t>(i), i * 1000, 1))
        batch.frames.push_back({1, frame});
    return batch;
}

/// Writes the batches with upkeep between; `tries` times each. Gives which were said to be recorded; empty
/// when the record would not even open.
std::set<int> write_all(const std::string& path, int tries) {
    std::set<int> recorded;
    auto opened = open_record(path);
    if (!opened) return recorded;
    auto writer = BatchWriter::make(std::move(opened.value()), {path});
    if (!writer) return recorded;
    for (int i = 0; i < kBatches; ++i) {
        for (int attempt = 0; attempt < tries && recorded.count(i) == 0; ++attempt) {
            const Outcome outcome = writer.value()->commit(batch_of(i));
            // A batch whose watch is not there yet is refused for good, which is not "recorded".
            if (outcome.written && outcome.refused_rows.empty()) recorded.insert(i);
            if (!outcome.written) CHECK(!outcome.complaint.empty());
        }
        std::string notice;
        (void)writer.value()->upkeep(true, notice);
    }
    return recorded;
}

/// The record opens, is whole, and holds what was recorded.
void check_after(const std::string& path, const std::set<int>& recorded) {
    auto opened = open_record(path);
    REQUIRE_MESSAGE(opened.ok(), opened.error());
    Database& database = opened.value().database;
    CHECK(database.text("PRAGMA integrity_check").value() == "ok");
    CHECK(database.text("PRAGMA foreign_key_check").value().empty());
    for (const std::string& sentence : opened.value().found.sentences) {
        CHECK(sentence.find("damaged") == std::string::npos);
    }
    for (const int i : recorded) {
        CAPTURE(i);
        const std::string at = std::to_string(i * 1000);
        REQUIRE(database.number("SELECT count(*) FROM commands WHERE client_id='" + std::to_string(i) + "'")
                    .value() == 1);
        REQUIRE(database.number("SELECT count(*) FROM events WHERE tick_ms=" + at).value() == 1);
        REQUIRE(database
                    .number("SELECT count(DISTINCT tick_ms) FROM frame_values(1) WHERE tick_ms/1000=" +
                            std::to_string(i))
                    .value() == 4);
    }
}

/// Runs `one` with the Nth operation failing, for N = 1, 2, ... until a run is too short for the fault to
/// strike.
void sweep(bool for_ever, bool disk_full, int tries, const std::function<void(const std::set<int>&)>& more) {
    int n = 1;
    for (bool struck = true; struck; ++n) {
        CAPTURE(n);
        const TempDir folder;
        const std::string path = folder.file("record.db");
        FaultVfs disk;
        disk.fail_at(n, for_ever, disk_full);
        const auto recorded = write_all(path, tries);
        struck = disk.struck();
        disk.heal();
        check_after(path, recorded);
        more(recorded);
        REQUIRE(n < 1000);
    }
    MESSAGE("operations tried: ", n - 1);
    CHECK(n > 30);
}

}  // namespace

TEST_CASE("one failing operation anywhere costs nothing but a retry") {
    for (const bool full : {false, true}) {
        CAPTURE(full);
        int complete = 0;
        int total = 0;
        sweep(false, full, 3, [&](const std::set<int>& recorded) {
            ++total;
            complete += recorded.size() == kBatches ? 1 : 0;
            // Either it did not open (said in a sentence) or everything came through.
            CHECK((recorded.empty() || recorded.size() == kBatches));
        });
        CHECK(complete > total / 3);
    }
}

TEST_CASE("a disk that fails for ever from any operation on keeps what was recorded") {
    for (const bool full : {false, true}) {
        CAPTURE(full);
        std::set<std::size_t> sizes;
        sweep(true, full, 1, [&](const std::set<int>& recorded) { sizes.insert(recorded.size()); });
        CHECK(sizes.size() == kBatches + 1);  // every number of batches was reached
    }
}

TEST_CASE("after a power cut everything that was recorded is there") {
    for (std::uint64_t seed = 1; seed <= 60; ++seed) {
        CAPTURE(seed);
        TestRandom random(seed);
        const TempDir folder;
        const std::string path = folder.file("record.db");
        FaultVfs disk;
        // From some operation on nothing reaches the disk, then the power goes.
        disk.fail_at(static_cast<std::int64_t>(1 + random.below(240)), true, false);
        const auto recorded = write_all(path, 1);
        disk.heal();
        disk.power_cut();
        check_after(path, recorded);
    }
}

TEST_CASE("each commit is synced before it is called recorded") {
    const TempDir folder;
    FaultVfs disk;
    auto opened = open_record(folder.file("record.db"));
    REQUIRE(opened.ok());
    auto writer = BatchWriter::make(std::move(opened.value()), {folder.file("record.db")});
    REQUIRE(writer.ok());
    for (int i = 0; i < kBatches; ++i) {
        const std::int64_t before = disk.syncs();
        REQUIRE(writer.value()->commit(batch_of(i)).written);
        CHECK(disk.syncs() > before);
    }
}

TEST_CASE("a recorder whose disk fails says so, keeps all, and goes on when it is back") {
    const TempDir folder;
    const std::string path = folder.file("record.db");
    FaultVfs disk;
    auto opened = Recorder::open({path});
    REQUIRE_MESSAGE(opened.ok(), opened.error());
    Recorder& recorder = *opened.value();
    recorder.begin_watch(sample_watch(1));
    recorder.busy(true);
    const auto commit = [&](const std::string& id) {
        std::promise<bool> done;
        auto answer = done.get_future();
        recorder.append(sample_command(0, 1, id), [&done](bool ok) { done.set_value(ok); });
        REQUIRE(answer.wait_for(60s) == std::future_status::ready);
        return answer.get();
    };
    REQUIRE(commit("before"));
    CHECK(recorder.status().writing);

    disk.fail_at(1, true, true);
    const auto frames = sample_roast(3, 0, 60);
    for (const Frame& frame : frames) recorder.append(frame);
    recorder.append(sample_event(0, 0, 5));
    CHECK(!commit("during"));
    RecorderStatus status = recorder.status();
    CHECK(!status.writing);
    CHECK(status.failures >= 1);
    CHECK(status.complaint.find("can't be written") != std::string::npos);
    CHECK(status.waiting >= frames.size());

    disk.heal();
    CHECK(commit("after"));
    status = recorder.status();
    CHECK(status.writing);
    CHECK(status.frames_lost == 0);
    auto reader = RecordReader::open(path);
    REQUIRE(reader.ok());
    CHECK(same_frames(reader.value()->frames(1, {0}, {1'000'000}).value(), frames));
    CHECK(reader.value()->commands(1).value().size() == 3);
    CHECK(reader.value()->events(1, {0}, {100}).value().size() == 1);
}

TEST_CASE("closing with a dead disk ends in time") {
    const TempDir folder;
    FaultVfs disk;
    auto opened = Recorder::open({folder.file("record.db")});
    REQUIRE(opened.ok());
    opened.value()->begin_watch(sample_watch(1));
    disk.fail_at(1, true, false);
    const auto asked = std::chrono::steady_clock::now();
    opened.value().reset();
    CHECK(std::chrono::steady_clock::now() - asked < 30s);
    disk.heal();
    check_after(folder.file("record.db"), {});
}

}  // namespace drumwatch

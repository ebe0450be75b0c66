// The Nth write, sync or truncation fails, once and for ever. After each the file is whole, and what was said
// to be recorded is there exactly once.
#include <doctest/doctest.h>

#include <chrono>
#include <fstream>
#include <functional>
#include <set>
#include <thread>

#include "record/batch_writer.hpp"
#include "record/reader.hpp"
#include "record_batches.hpp"
#include "support/fault_vfs.hpp"
#include "support/sample_record.hpp"
#include "support/stride.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {
namespace {

using namespace std::chrono_literals;

constexpr DiskFault kFaults[] = {DiskFault::io_error, DiskFault::full, DiskFault::read_only};

/// Runs `one` with the Nth operation failing, for N = 1, 1 + `step`, ... until a run is too short for the
/// fault to strike.
void sweep(bool for_ever, DiskFault fault, int tries, int step,
           const std::function<void(const std::set<int>&)>& more) {
    int n = 1;
    for (bool struck = true; struck; n += step) {
        CAPTURE(n);
        const TempDir folder;
        const std::string path = folder.file("record.db");
        FaultVfs disk;
        disk.fail_at(n, for_ever, fault);
        const auto recorded = write_all(path, tries);
        struck = disk.struck();
        disk.heal();
        check_after(path, recorded);
        more(recorded);
        REQUIRE(n < 1000);
    }
    MESSAGE("operations tried: ", (n - 1) / step);
    CHECK(n > 30);
}

}  // namespace

TEST_CASE("one failing operation anywhere costs nothing but a retry") {
    for (const DiskFault fault : kFaults) {
        CAPTURE(static_cast<int>(fault));
        int complete = 0;
        int total = 0;
        sweep(false, fault, 3, static_cast<int>(kStride), [&](const std::set<int>& recorded) {
            ++total;
            complete += recorded.size() == kBatches ? 1 : 0;
            // Either it did not open (said in a sentence) or everything came through.
            CHECK((recorded.empty() || recorded.size() == kBatches));
        });
        CHECK(complete > total / 3);
    }
}

TEST_CASE("a disk that fails for ever from any operation on keeps what was recorded") {
    for (const DiskFault fault : kFaults) {
        CAPTURE(static_cast<int>(fault));
        std::set<std::size_t> sizes;
        // Each batch takes more operations than a step, so that none is left out.
        constexpr int kStep = kStride > 1 ? 3 : 1;
        sweep(true, fault, 1, kStep, [&](const std::set<int>& recorded) { sizes.insert(recorded.size()); });
        CHECK(sizes.size() == kBatches + 1);  // every number of batches was reached
    }
}

TEST_CASE("a writer whose disk was dead from any operation on writes on once it is back") {
    std::int64_t n = 0;
    for (bool struck = true; struck; ++n) {
        CAPTURE(n);
        const TempDir folder;
        const std::string path = folder.file("record.db");
        FaultVfs disk;
        std::set<int> recorded;
        {
            auto opened = open_record(path);
            REQUIRE_MESSAGE(opened.ok(), opened.error());
            auto writer = BatchWriter::make(std::move(opened.value()), {path});
            REQUIRE_MESSAGE(writer.ok(), writer.error());
            disk.fail_reads(n % 2 == 0);
            disk.fail_at(n + 1, true, kFaults[n % 3]);
            write_batches(*writer.value(), 1, recorded);
            struck = disk.struck();
            disk.heal();
            write_batches(*writer.value(), 1, recorded);
        }
        CHECK(recorded.size() == kBatches);
        check_after(path, recorded);
    }
    MESSAGE("operations tried: ", n);
    CHECK(n > 100);
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
    FaultVfs disk;
    check_failing_and_back([&] { disk.fail_at(1, true, DiskFault::full); }, [&] { disk.heal(); });
}

TEST_CASE("closing with a dead disk ends in time") {
    const TempDir folder;
    FaultVfs disk;
    auto opened = Recorder::open({folder.file("record.db")});
    REQUIRE(opened.ok());
    opened.value()->begin_watch(sample_watch(1));
    disk.fail_at(1, true, DiskFault::io_error);
    const auto asked = std::chrono::steady_clock::now();
    opened.value().reset();
    CHECK(std::chrono::steady_clock::now() - asked < 30s);
    disk.heal();
    check_after(folder.file("record.db"), {});
}

TEST_CASE("damage met while running is said, marked, and set aside at the next start") {
    const TempDir folder;
    const std::string path = folder.file("record.db");
    std::int64_t root = 0;
    {
        auto opened = open_record(path);
        REQUIRE(opened.ok());
        root =
            opened.value().database.number("SELECT rootpage FROM sqlite_schema WHERE name='events'").value();
    }
    // A stop that was clean, so that nothing is looked at; the page's header is gone by the next start.
    std::fstream(path, std::ios::binary | std::ios::in | std::ios::out)
        .seekp((root - 1) * 4096)
        .write("no page any more", 16);
    {
        auto opened = open_record(path);
        REQUIRE_MESSAGE(opened.ok(), opened.error());
        auto writer = BatchWriter::make(std::move(opened.value()), {path});
        REQUIRE_MESSAGE(writer.ok(), writer.error());
        const Outcome outcome = writer.value()->commit(batch_of(0));
        CHECK(!outcome.written);
        CHECK(outcome.complaint.find("the record is damaged and can't be written") == 0);
    }
    auto opened = open_record(path);
    REQUIRE_MESSAGE(opened.ok(), opened.error());
    CHECK(opened.value().found.sentences.at(0).find("it was set aside as") != std::string::npos);
    auto writer = BatchWriter::make(std::move(opened.value()), {path});
    REQUIRE_MESSAGE(writer.ok(), writer.error());
    CHECK(writer.value()->commit(batch_of(0)).written);
}

TEST_CASE("the check of a big record on a slow disk ends in time") {
    const TempDir folder;
    const std::string path = folder.file("record.db");
    {
        auto opened = open_record(path);
        REQUIRE(opened.ok());
        auto writer = BatchWriter::make(std::move(opened.value()), {path});
        REQUIRE(writer.ok());
        REQUIRE(writer.value()->commit(batch_of(0)).written);  // and its watch stays open
    }
    REQUIRE(
        Database::open(path, OpenMode::read_write)
            .value()
            .run("INSERT INTO frames SELECT 1, value*1000+100000, value*1000+100999, 4, 0, 1, 0, "
                 "zeroblob(3000) FROM (WITH RECURSIVE n(value) AS (SELECT 1 UNION ALL SELECT value+1 FROM n "
                 "LIMIT 20000) SELECT value FROM n)")
            .ok());
    FaultVfs disk;
    disk.slow_reads(2ms);
    const auto asked = std::chrono::steady_clock::now();
    const auto opened = open_record(path);
    const auto took = std::chrono::steady_clock::now() - asked;
    disk.slow_reads(0ms);
    REQUIRE_MESSAGE(opened.ok(), opened.error());
    CHECK(took > 9s);
    CHECK(took < 20s);
    CHECK(opened.value().found.sentences.size() == 1);  // nothing was set aside
}

}  // namespace drumwatch

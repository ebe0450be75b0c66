// The power goes at every write, sync, truncation and deletion of a recording, and again at every one of the
// recovery: with nothing left of what was not synced, and with some of it, torn at sectors. What was said to
// be recorded is there afterwards, whole and once (the disk's model and its sources:
// support/unsynced_files.hpp).
#include <doctest/doctest.h>

#include <chrono>
#include <future>
#include <map>
#include <set>
#include <string>
#include <tuple>

#include "record/open_record.hpp"
#include "record/recorder.hpp"
#include "record/verify.hpp"
#include "record_batches.hpp"
#include "support/fault_vfs.hpp"
#include "support/random.hpp"
#include "support/sample_record.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {
namespace {

using namespace std::chrono_literals;

constexpr std::uint64_t kTorn = 3;  // images torn by chance, for each operation

/// What the power left of one recording, and what it had been said to hold.
struct Left {
    DiskImage disk;
    std::set<int> recorded;
    bool operator<(const Left& other) const {
        return std::tie(disk, recorded) < std::tie(other.disk, other.recorded);
    }
};

/// Every different state that a cut at any operation leaves; each is opened and checked.
std::set<Left> cut_everywhere(const std::string& path, std::uint64_t torn, std::int64_t& operations) {
    std::set<Left> all;
    FaultVfs disk;
    for (bool off = true; off; ++operations) {
        disk.power_returns({});
        disk.cut_power_at(operations + 1);
        const auto recorded = write_all(path, 1);
        off = disk.power_is_off();
        for (std::uint64_t seed = 0; seed <= torn; ++seed) {
            const std::uint64_t mixed = seed == 0 ? 0 : seed + 1000 * static_cast<std::uint64_t>(operations);
            all.insert({disk.files().left_over(mixed), recorded});
        }
    }
    return all;
}

/// How much it holds, and how long its files are.
std::string shape(const Left& left) {
    std::string shape = std::to_string(left.recorded.size());
    for (const auto& [path, bytes] : left.disk) shape += " " + path + " " + std::to_string(bytes.size());
    return shape;
}

void check_each(const std::string& path, const std::set<Left>& all) {
    FaultVfs disk;
    for (const Left& left : all) {
        disk.power_returns(left.disk);
        check_after(path, left.recorded);
    }
}

/// Opens the record with the power going at every operation of that, and once more after it. Gives how many.
std::int64_t cut_recovery(FaultVfs& disk, const std::string& path, const Left& left, std::uint64_t seed) {
    std::int64_t n = 0;
    for (bool off = true; off; ++n) {
        CAPTURE(n);
        disk.power_returns(left.disk);
        disk.cut_power_at(n + 1);
        { const auto opened = open_record(path); }
        off = disk.power_is_off();
        disk.power_returns(disk.files().left_over(seed == 0 ? 0 : seed + static_cast<std::uint64_t>(n)));
        check_after(path, left.recorded);
    }
    return n;
}

bool commit(Recorder& recorder, int i) {
    std::promise<bool> done;
    auto answer = done.get_future();
    if (i == 0) recorder.put(sample_roast_row(1, 1, 0, 600));
    recorder.append(sample_event(0, 1, i * 1000));
    for (const Frame& frame : sample_roast(static_cast<std::uint64_t>(i), i * 1000, 1))
        recorder.append(frame);
    recorder.append(sample_command(0, i * 1000, std::to_string(i)), [&done](bool ok) { done.set_value(ok); });
    REQUIRE(answer.wait_for(60s) == std::future_status::ready);
    return answer.get();
}

}  // namespace

TEST_CASE("the recording whose power goes seals its roast, and anew with each event") {
    const TempDir folder;
    CHECK(write_all(folder.file("record.db"), 1).size() == kBatches);
    // The first turn of upkeep packs it anew, the second seals it.
    CHECK(verify_record(folder.file("record.db")).value().seals == kBatches - 1);
}

TEST_CASE("the power goes at every operation of a recording and nothing acknowledged is lost") {
    const TempDir folder;
    const std::string path = folder.file("record.db");
    std::int64_t operations = 0;
    const auto all = cut_everywhere(path, kTorn, operations);
    check_each(path, all);
    MESSAGE("operations: ", operations, ", different disks left: ", all.size());
    CHECK(operations > 100);
    std::set<std::size_t> reached;
    for (const Left& left : all) reached.insert(left.recorded.size());
    CHECK(reached.size() == kBatches + 1);  // every number of commits
}

TEST_CASE("the power goes at every operation of the recovery too") {
    const TempDir folder;
    const std::string path = folder.file("record.db");
    std::int64_t operations = 0;
    const auto all = cut_everywhere(path, 0, operations);
    // With nothing left of what was not synced, disks whose files are as long as another's and hold as much
    // differ in random salts alone.
    std::map<std::string, Left> different;
    for (const Left& left : all) different.emplace(shape(left), left);
    std::int64_t cuts = 0;
    FaultVfs disk;
    for (const auto& [shape, left] : different) {
        for (std::uint64_t seed = 0; seed <= 1; ++seed) cuts += cut_recovery(disk, path, left, seed);
    }
    MESSAGE("disks left by the first cut: ", different.size(), ", second cuts: ", cuts);
    CHECK(different.size() > kBatches);
    CHECK(cuts > 100);
}

TEST_CASE("the power goes under a recorder and what it answered is there") {
    for (std::uint64_t seed = 1; seed <= 5; ++seed) {
        CAPTURE(seed);
        TestRandom random(seed);
        const TempDir folder;
        const std::string path = folder.file("record.db");
        FaultVfs disk;
        std::set<int> recorded;
        {
            auto opened = Recorder::open({path});
            REQUIRE_MESSAGE(opened.ok(), opened.error());
            disk.cut_power_at(static_cast<std::int64_t>(1 + random.below(70)));
            opened.value()->begin_watch(sample_watch(1));
            opened.value()->busy(true);
            for (int i = 0; i < kBatches; ++i) {
                if (commit(*opened.value(), i)) recorded.insert(i);
            }
        }
        CHECK(disk.power_is_off());
        disk.power_returns(disk.files().left_over(seed));
        check_after(path, recorded);
    }
}

}  // namespace drumwatch

// Which backups go, on a box whose clock is not always set: real records that grow from backup to backup. The
// judge is the order in which they were made.
#include <doctest/doctest.h>

#include <algorithm>
#include <chrono>
#include <filesystem>

#include "kept_record.hpp"
#include "record/backup_folder.hpp"
#include "record/open_record.hpp"
#include "record/row_writer.hpp"
#include "support/random.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {
namespace {

namespace fs = std::filesystem;

constexpr std::int64_t kDay_ms = 86'400'000;
constexpr WallTime kSoonAfterBoot{12'000};  // 1970-01-01T00:00:12Z

/// A record, and a folder for its backups.
class Box {
  public:
    explicit Box(const TempDir& folder) : record(folder.file("record.sqlite")), stick(folder.file("stick")) {
        fs::create_directory(stick);
    }

    /// A start of the box with a roast; `boot` is in what a watch begins with, as the kernel's is.
    void roast(const std::string& boot) const {
        auto opened = open_record(record);
        REQUIRE_MESSAGE(opened.ok(), opened.error());
        auto rows = RowWriter::prepare(opened.value().database);
        REQUIRE(rows.ok());
        const std::uint64_t id = opened.value().found.next_watch;
        WatchRow watch = sample_watch(id);
        watch.begin = R"({"boot":")" + boot + std::to_string(id) + "\"}";
        REQUIRE(rows.value().write(Row{watch}).ok());
        REQUIRE(rows.value().write(Row{sample_roast_row(id, id, 1'000, 50)}).ok());
    }
    BackupDone back_up(WallTime now, std::size_t keep) const {
        const auto done = make_backup({record, stick, keep, true}, now);
        REQUIRE_MESSAGE(done.ok(), done.error());
        return done.value();
    }

    const std::string record;
    const std::string stick;
};

}  // namespace

TEST_CASE("backups named in 1970 among later ones stand and go in the order in which they were made") {
    const TempDir folder;
    const Box box(folder);
    std::vector<std::string> made;
    for (const WallTime now :
         {kNow, WallTime{kNow.unix_ms + kDay_ms}, kSoonAfterBoot, WallTime{kSoonAfterBoot.unix_ms - 5'000},
          WallTime{kNow.unix_ms + 2 * kDay_ms}}) {
        box.roast("a");
        made.push_back(box.back_up(now, 14).path);
    }
    std::reverse(made.begin(), made.end());
    CHECK(backups_in(box.stick) == made);
    box.roast("a");
    const BackupDone next = box.back_up({kSoonAfterBoot.unix_ms + 9'000}, 4);
    CHECK(next.removed == std::vector<std::string>{made[3], made[4]});
    CHECK(backups_in(box.stick) == std::vector<std::string>{next.path, made[0], made[1], made[2]});
}

TEST_CASE("whatever the clock says, only the last ones made are kept") {
    const auto seed = static_cast<std::uint64_t>(std::chrono::system_clock::now().time_since_epoch().count());
    MESSAGE("seed ", seed);
    TestRandom random(seed);
    const TempDir folder;
    const Box box(folder);
    std::vector<std::string> made;
    for (int i = 0; i < 40; ++i) {
        CAPTURE(i);
        box.roast("a");
        const std::int64_t around = random.below(2) == 0 ? 0 : kNow.unix_ms;
        made.insert(
            made.begin(),
            box.back_up({around + static_cast<std::int64_t>(random.below(90'000'000)) * 1'000}, 5).path);
        if (made.size() > 5) made.pop_back();
        REQUIRE(backups_in(box.stick) == made);
    }
}

TEST_CASE("a new record begins at one again: its backups stand by name, and are not taken for older") {
    const TempDir folder;
    const Box box(folder);
    for (int i = 0; i < 3; ++i) box.roast("a");
    const std::string old = box.back_up(kNow, 14).path;
    fs::remove(box.record);  // as a damaged one that was set aside
    box.roast("b");
    const std::string first = box.back_up({kNow.unix_ms + kDay_ms}, 14).path;
    box.roast("b");
    const std::string second = box.back_up({kNow.unix_ms + 2 * kDay_ms}, 14).path;
    CHECK(backups_in(box.stick) == std::vector<std::string>{second, first, old});
}

TEST_CASE(
    "within one watch the further record is the newer backup, and files that can't be read stay by name") {
    const TempDir folder;
    const Box box(folder);
    box.roast("a");
    const std::string later_name = box.back_up(kNow, 14).path;
    change(box.record,
           "INSERT INTO roasts SELECT 2, watch, station, coffee, target_name, target_version, state, "
           "charge_ms, drop_ms, charged_at, milestones, verdict, reasons, moves, repacked FROM roasts");
    const std::string further = box.back_up(kSoonAfterBoot, 14).path;
    write_bytes(box.stick + "/drumwatch-19700101T000001Z.sqlite", "not a database");
    write_bytes(box.stick + "/drumwatch-20990101T000001Z.sqlite", "");
    CHECK(backups_in(box.stick) ==
          std::vector<std::string>{box.stick + "/drumwatch-20990101T000001Z.sqlite", further, later_name,
                                   box.stick + "/drumwatch-19700101T000001Z.sqlite"});
}

}  // namespace drumwatch

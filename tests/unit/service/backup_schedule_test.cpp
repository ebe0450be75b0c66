#include "service/backup_schedule.hpp"

#include <doctest/doctest.h>

#include <chrono>
#include <filesystem>
#include <fstream>

#include "support/temp_dir.hpp"

using namespace drumwatch;

namespace {

constexpr std::int64_t kHour_ms = 3'600'000;

Config with_backup(const TempDir& folder) {
    Config config;
    config.record.path = "record.sqlite";
    config.record.backup = BackupConfig{folder.path(), 6, 3, false};
    return config;
}

}  // namespace

TEST_CASE("without a backup in the configuration none is ever due") {
    const BackupSchedule schedule{Config{}};
    CHECK_FALSE(schedule.due(Tick{1'000 * kHour_ms}, false));
}

TEST_CASE("the first backup is due at once, but not beside a batch, and the next after its hours") {
    const TempDir folder;
    BackupSchedule schedule(with_backup(folder));
    CHECK_FALSE(schedule.due(Tick{0}, true));
    REQUIRE(schedule.due(Tick{0}, false));
    schedule.begun();
    CHECK_FALSE(schedule.due(Tick{1'000}, false));
    schedule.ended(Tick{1'000}, BackupDone{});
    CHECK(schedule.complaint().empty());
    CHECK_FALSE(schedule.due(Tick{6 * kHour_ms}, false));
    CHECK(schedule.due(Tick{6 * kHour_ms + 1'000}, false));
    CHECK(schedule.order().keep == 3);
}

TEST_CASE("a failed backup is said and tried again in ten minutes") {
    const TempDir folder;
    BackupSchedule schedule(with_backup(folder));
    schedule.begun();
    schedule.ended(Tick{0}, Error{"the stick is full"});
    CHECK(schedule.complaint() == "the newest backup failed: the stick is full");
    CHECK_FALSE(schedule.due(Tick{599'000}, false));
    CHECK(schedule.due(Tick{600'000}, false));
}

TEST_CASE("after a damaged record the newest backup is named, with how to restore it") {
    const TempDir folder;
    const Config config = with_backup(folder);
    CHECK(newest_backup_sentence(config.record).find("no backup of it is known") == 0);
    std::ofstream(folder.file("drumwatch-20251124T104207Z.sqlite")) << "older";
    std::ofstream(folder.file("drumwatch-20251125T104207Z.sqlite")) << "newest";
    CHECK(newest_backup_sentence(config.record)
              .find("drumwatch restore " + folder.path() +
                    "/drumwatch-20251125T104207Z.sqlite record.sqlite") != std::string::npos);
}

TEST_CASE("after a restart a young backup in the folder is counted") {
    const TempDir folder;
    std::ofstream(folder.file("drumwatch-20251125T104207Z.sqlite")) << "a backup";
    const BackupSchedule schedule(with_backup(folder));
    CHECK_FALSE(schedule.due(Tick{0}, false));
    CHECK_FALSE(schedule.due(Tick{5 * kHour_ms}, false));
    CHECK(schedule.due(Tick{6 * kHour_ms}, false));
}

TEST_CASE("after a restart a backup of 1970, or of a time to come, is no young one") {
    const TempDir folder;
    const std::string file = folder.file("drumwatch-19700101T000012Z.sqlite");
    std::ofstream(file) << "a backup";
    CHECK_FALSE(BackupSchedule(with_backup(folder)).due(Tick{0}, false));  // by the file's time it is young
    using std::chrono::file_clock;
    std::filesystem::last_write_time(
        file, file_clock::from_sys(std::chrono::sys_seconds(std::chrono::seconds(12))));
    CHECK(BackupSchedule(with_backup(folder)).due(Tick{0}, false));
    std::filesystem::last_write_time(file, file_clock::now() + std::chrono::hours(5));
    CHECK(BackupSchedule(with_backup(folder)).due(Tick{0}, false));
}

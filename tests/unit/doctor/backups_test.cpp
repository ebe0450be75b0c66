#include <doctest/doctest.h>

#include <chrono>
#include <filesystem>
#include <fstream>

#include "doctor/doctor.hpp"
#include "record/backup_folder.hpp"
#include "record/recorder.hpp"
#include "support/temp_dir.hpp"

using namespace drumwatch;

TEST_CASE("backups: none wanted, none there, a young one, an old one and a broken one are told apart") {
    const TempDir folder;
    RecordConfig record;
    record.path = folder.file("record.sqlite");
    CHECK(look_at_backups(record).state == FindingState::look);
    record.backup = BackupConfig{folder.path(), 6, 14, true};
    CHECK(look_at_backups(record).state == FindingState::broken);
    REQUIRE(Recorder::open({record.path}).ok());  // and closed
    const auto made = make_backup({record.path, folder.path(), 14, true}, {1'764'067'327'250});
    REQUIRE_MESSAGE(made.ok(), made.error());
    const Finding young = look_at_backups(record);
    CHECK_MESSAGE(young.state == FindingState::well, young.text);
    const auto old = std::filesystem::file_time_type::clock::now() - std::chrono::hours(50);
    std::filesystem::last_write_time(made.value().path, old);
    const Finding stale = look_at_backups(record);
    CHECK(stale.state == FindingState::look);
    CHECK(stale.text.find("50 h old and whole") != std::string::npos);
    const auto in_1970 = std::chrono::file_clock::from_sys(std::chrono::sys_seconds(std::chrono::hours(1)));
    std::filesystem::last_write_time(made.value().path, in_1970);
    CHECK(look_at_backups(record).text.find("while the box's clock was not set") != std::string::npos);
    std::filesystem::resize_file(made.value().path, 5'000);
    const Finding broken = look_at_backups(record);
    CHECK(broken.state == FindingState::broken);
    CHECK_MESSAGE(broken.text.find(made.value().path) == 0, broken.text);
}

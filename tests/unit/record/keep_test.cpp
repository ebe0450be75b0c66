// Backup and verify on real files (restore: restore_test.cpp); the independent reader is SQLite's own
// integrity_check through python3.
#include <doctest/doctest.h>

#include <filesystem>

#include "kept_record.hpp"
#include "record/backup_folder.hpp"
#include "record/open_record.hpp"
#include "record/recorder.hpp"
#include "record/restore.hpp"
#include "record/verify.hpp"
#include "support/child_process.hpp"
#include "support/sample_record.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {
namespace {

namespace fs = std::filesystem;

std::string touch(const std::string& path, const std::string& sql) {
    change(path, sql);
    const auto found = verify_record(path);
    REQUIRE_MESSAGE(found.ok(), found.error());
    REQUIRE_FALSE(found.value().damage.empty());
    return found.value().damage.front();
}

}  // namespace

TEST_CASE("a backup is a whole copy of its own, named by its time, and stands alone") {
    const TempDir folder;
    const std::string record = folder.file("record.sqlite");
    write_record(record, 3);
    fs::create_directory(folder.file("stick"));
    const auto done = make_backup({record, folder.file("stick"), 14, true}, kNow);
    REQUIRE_MESSAGE(done.ok(), done.error());
    CHECK(fs::path(done.value().path).filename() == "drumwatch-20251125T104207Z.sqlite");
    CHECK(done.value().roasts == 3);
    CHECK(std::distance(fs::directory_iterator(folder.file("stick")), {}) == 1);
    const Finished check = run_program(
        {"python3", "-c",
         "import sqlite3, sys; d = sqlite3.connect('file:' + sys.argv[1] + '?mode=ro', uri=True)\n"
         "print(d.execute('PRAGMA integrity_check').fetchone()[0], d.execute('SELECT count(*) FROM "
         "roasts').fetchone()[0])",
         done.value().path},
        std::chrono::seconds(60));
    CHECK(check.output == "ok 3\n");
    CHECK(make_backup({record, folder.file("stick"), 14, true}, kNow).error().find("already") !=
          std::string::npos);
}

TEST_CASE("a backup is made while the recorder writes, and holds one moment of it") {
    const TempDir folder;
    const std::string record = folder.file("record.sqlite");
    auto recorder = Recorder::open({record});
    REQUIRE(recorder.ok());
    recorder.value()->begin_watch(sample_watch(1));
    recorder.value()->busy(true);
    const auto frames = sample_roast(5, 0, 600);
    for (std::size_t i = 0; i < frames.size(); ++i) {
        recorder.value()->append(frames[i]);
        if (i % 100 != 0) continue;
        recorder.value()->append(sample_command(1, frames[i].tick.ms, std::to_string(i)), nullptr);
        const auto done = make_backup({record, folder.path(), 3, true},
                                      {kNow.unix_ms + static_cast<std::int64_t>(i) * 1000});
        REQUIRE_MESSAGE(done.ok(), done.error());
    }
    CHECK(backups_in(folder.path()).size() == 3);
}

TEST_CASE("the oldest backups go, never the newest, and never a file of another name") {
    const TempDir folder;
    const std::string record = folder.file("record.sqlite");
    write_record(record, 1);
    fs::create_directory(folder.file("stick"));
    const std::string others[] = {"drumwatch-2025.sqlite", "drumwatch-20251125T104207Z.sqlite.txt",
                                  "holiday.jpg", "drumwatch-20251125X104207Z.sqlite"};
    for (const std::string& name : others) write_bytes(folder.file("stick/" + name), "not ours");
    std::string newest;
    for (int day = 0; day < 5; ++day) {
        const auto done =
            make_backup({record, folder.file("stick"), 2, true}, {kNow.unix_ms + day * 86'400'000LL});
        REQUIRE_MESSAGE(done.ok(), done.error());
        newest = done.value().path;
        CHECK(done.value().removed.size() == (day < 2 ? 0 : 1));
    }
    const auto left = backups_in(folder.file("stick"));
    REQUIRE(left.size() == 2);
    CHECK(left[0] == newest);
    for (const std::string& name : others) CHECK(bytes_of(folder.file("stick/" + name)) == "not ours");
}

TEST_CASE("a backup folder that is not mounted, or not there, is refused with what to do") {
    const TempDir folder;
    const std::string record = folder.file("record.sqlite");
    write_record(record, 1);
    const auto absent = make_backup({record, folder.file("stick"), 14, false}, kNow);
    CHECK(absent.error().find("mount the backup disk") != std::string::npos);
    fs::create_directory(folder.file("stick"));
    const auto unmounted = make_backup({record, folder.file("stick"), 14, false}, kNow);
    CHECK(unmounted.error().find("same file system") != std::string::npos);
    CHECK(fs::is_empty(folder.file("stick")));
    CHECK_FALSE(make_backup({folder.file("none.sqlite"), folder.file("stick"), 14, true}, kNow).ok());
}

TEST_CASE("verify names the row that is touched") {
    const TempDir folder;
    const std::string record = folder.file("record.sqlite");
    write_record(record, 3);
    const auto whole = verify_record(record);
    REQUIRE(whole.ok());
    CHECK(whole.value().damage.empty());
    CHECK(whole.value().roasts == 3);
    CHECK(whole.value().watches == 3);
    CHECK(whole.value().frame_rows > 0);
    const std::string good = bytes_of(record);
    const auto said = [&](const std::string& sql) {
        write_bytes(record, good);
        return touch(record, sql);
    };
    CHECK(said("UPDATE frames SET body=zeroblob(length(body)) WHERE watch=2")
              .find("frames of watch 2 from tick 0 ms") == 0);
    CHECK(said("UPDATE frames SET count=count+1 WHERE watch=3").find("frames of watch 3") == 0);
    CHECK(said("INSERT INTO frames SELECT watch, from_ms+1, to_ms, count, form, layout, crc, body FROM frames"
               " WHERE watch=2 AND from_ms=0")
              .find("frames of watch 2 from tick 1 ms: they overlap those before them") == 0);
    CHECK(said("UPDATE roasts SET milestones='{' WHERE id=2").find("roast 2:") == 0);
    CHECK(said("UPDATE watches SET channels='[1]' WHERE id=1").find("watch 1:") != std::string::npos);
    CHECK(said("DELETE FROM watches WHERE id=2").find("is not there") != std::string::npos);
    CHECK_FALSE(verify_record(folder.file("absent.sqlite")).ok());
    write_bytes(folder.file("text.sqlite"), "words");
    CHECK_FALSE(verify_record(folder.file("text.sqlite")).ok());
}

TEST_CASE(
    "a record cut short at unused pages is found also with a log beside it, one that grows in its log is "
    "whole") {
    const TempDir folder;
    const std::string record = folder.file("record.sqlite");
    const std::string copy = folder.file("copy.sqlite");
    const auto take_copy = [&] {
        for (const char* tail : {"", "-wal"})
            fs::copy_file(record + tail, copy + tail, fs::copy_options::overwrite_existing);
    };
    const auto damage = [&] {
        fs::remove(copy + "-shm");
        const auto found = verify_record(copy);
        REQUIRE_MESSAGE(found.ok(), found.error());
        return found.value().damage;
    };
    auto opened = open_record(record);
    REQUIRE_MESSAGE(opened.ok(), opened.error());
    Database& database = opened.value().database;
    REQUIRE(database
                .run("CREATE TABLE big(bytes); INSERT INTO big VALUES (zeroblob(400000));"
                     "DROP TABLE big; PRAGMA wal_checkpoint(TRUNCATE); PRAGMA user_version=3")
                .ok());
    take_copy();
    REQUIRE(fs::file_size(copy + "-wal") > 0);
    CHECK(damage().empty());
    fs::resize_file(copy, fs::file_size(copy) - 5 * 4096);
    REQUIRE(damage().size() == 1);
    CHECK_MESSAGE(damage().front().find("5 pages of it are nowhere") != std::string::npos, damage().front());
    const auto before = fs::file_size(record);
    REQUIRE(database.run("CREATE TABLE big(bytes); INSERT INTO big VALUES (zeroblob(900000))").ok());
    take_copy();
    REQUIRE(fs::file_size(copy) == before);
    CHECK(damage().empty());
    fs::resize_file(copy + "-wal",
                    fs::file_size(copy + "-wal") - 4096);  // the commit is gone, not a page of it
    CHECK(damage().empty());
}

}  // namespace drumwatch

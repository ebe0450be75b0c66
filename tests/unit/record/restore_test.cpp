// Restore on real files: what it says before, what it refuses, and what is there afterwards. That it may be
// cut off anywhere: tests/faults/record/restore_cut_test.cpp.
#include "record/restore.hpp"

#include <doctest/doctest.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <filesystem>

#include "kept_record.hpp"
#include "record/backup_folder.hpp"
#include "record/reader.hpp"
#include "record/recorder.hpp"
#include "record/verify.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {
namespace {

std::uint64_t roasts_in(const std::string& path) {
    const auto reader = RecordReader::open(path);
    REQUIRE_MESSAGE(reader.ok(), reader.error());
    return reader.value()->roasts(1000, 0).value().size();
}

}  // namespace

TEST_CASE("a backup cut anywhere, or with any byte of its header flipped, is not restored over a record") {
    const TempDir folder;
    const std::string record = folder.file("record.sqlite");
    write_record(record, 1);
    const std::string backup = make_backup({record, folder.path(), 14, true}, kNow).value().path;
    const std::string good = bytes_of(backup);
    const std::string bad = folder.file("bad.sqlite");
    std::size_t refused = 0;
    // SQLite does not look at every byte of its header (file format, 1.3: change counters, version numbers):
    // what it takes must still hold the same roast.
    const auto try_it = [&](const std::string& bytes) {
        write_bytes(bad, bytes);
        const auto look = RecordPlace::take(record).value().look(bad);
        if (!look.ok()) {
            ++refused;
        } else {
            CHECK(look.value().roasts == 1);
        }
    };
    for (std::size_t i = 0; i < 100; ++i) {
        std::string flipped = good;
        flipped[i] = static_cast<char>(flipped[i] ^ 0xFF);
        try_it(flipped);
    }
    CHECK(refused > 30);
    refused = 0;
    std::size_t cuts = 0;
    for (std::size_t i = 0; i < good.size(); i += i < 4096 ? 97 : 1021) {
        try_it(good.substr(0, i));
        ++cuts;
    }
    CHECK(refused == cuts);
    CHECK(roasts_in(record) == 1);
}

TEST_CASE("a restore says what it would lose, sets the record aside, and leaves a held one alone") {
    const TempDir folder;
    const std::string record = folder.file("record.sqlite");
    write_record(record, 2);
    const std::string backup = make_backup({record, folder.path(), 14, true}, kNow).value().path;
    CHECK(RecordPlace::take(record).value().look(backup).value().lost.count == 0);
    change(record,
           "UPDATE roasts SET coffee='Another' WHERE id=1; UPDATE roasts SET milestones='{' WHERE id=2");
    const auto look = RecordPlace::take(record).value().look(backup);
    REQUIRE(look.ok());
    CHECK(look.value().record_trouble.empty());
    CHECK(look.value().lost.newest == std::vector<std::uint64_t>{2, 1});
    {
        const auto place = RecordPlace::take(record);
        REQUIRE(place.ok());
        CHECK_FALSE(Recorder::open({record}).ok());  // nothing may be written between a look and a yes
    }
    {
        const auto held = LockFile::take(record);
        REQUIRE(held.ok());
        const auto refused = RecordPlace::take(record);
        REQUIRE_FALSE(refused.ok());
        CHECK(refused.error().find("stop it") != std::string::npos);
        CHECK(bytes_of(record).find("Another") != std::string::npos);
    }
    const auto aside = RecordPlace::take(record).value().restore(backup);
    REQUIRE_MESSAGE(aside.ok(), aside.error());
    CHECK(bytes_of(aside.value()).find("Another") != std::string::npos);
    CHECK(roasts_in(record) == 2);
    CHECK(verify_record(record).value().damage.empty());
    // Where there is no record, one is made.
    REQUIRE(RecordPlace::take(folder.file("new.sqlite")).value().restore(backup).value().empty());
    CHECK(roasts_in(folder.file("new.sqlite")) == 2);
    // And the recorder goes on with it.
    auto recorder = Recorder::open({folder.file("new.sqlite")});
    REQUIRE_MESSAGE(recorder.ok(), recorder.error());
    CHECK(recorder.value()->found().next_roast == 3);
}

TEST_CASE("whatever a roast's row says otherwise than the backup's is said before it is lost") {
    const TempDir folder;
    const std::string record = folder.file("record.sqlite");
    write_record(record, 3);
    const std::string backup = make_backup({record, folder.path(), 14, true}, kNow).value().path;
    const std::string good = bytes_of(record);
    const auto lost_after = [&](const std::string& sql) {
        write_bytes(record, good);
        change(record, sql);
        const auto look = RecordPlace::take(record).value().look(backup);
        REQUIRE_MESSAGE(look.ok(), look.error());
        CHECK(look.value().record_trouble.empty());
        return look.value().lost.newest;
    };
    const std::vector<std::uint64_t> second{2};
    for (const char* set :
         {"watch=1", "station='Other'", "coffee='Other'", "target_name='other'", "target_version=9",
          "state='aborted'", "charge_ms=charge_ms+1", "drop_ms=NULL", "charged_at=charged_at+1",
          "milestones='{}'", "verdict='x'", "reasons='[1]'", "moves='[1]'"}) {
        CAPTURE(set);
        CHECK(lost_after(std::string("UPDATE roasts SET ") + set + " WHERE id=2") == second);
    }
    CHECK(lost_after("UPDATE roasts SET repacked=1").empty());
    CHECK(lost_after("DELETE FROM roasts WHERE id=2").empty());  // the backup has more
    CHECK(lost_after("INSERT INTO roasts SELECT id+10, watch, station, coffee, target_name, target_version, "
                     "state, charge_ms, drop_ms, charged_at, milestones, verdict, reasons, moves, repacked "
                     "FROM roasts WHERE id=2") == std::vector<std::uint64_t>{12});
}

TEST_CASE("a seal that says otherwise is a loss, a seal on one side only is none") {
    const TempDir folder;
    const std::string record = folder.file("record.sqlite");
    write_record(record, 2);
    const auto seal = [](const std::string& path, int id, const std::string& facts) {
        change(path, "INSERT INTO seals VALUES (" + std::to_string(id) + ", 1, 0, '" + facts + "', x'', '')");
    };
    // look() would refuse a chain that another hand made.
    const auto lost = [&](const std::string& backup) {
        auto present = Database::open(record, OpenMode::read_only);
        auto kept = Database::open(backup, OpenMode::read_only);
        REQUIRE(present.ok());
        REQUIRE(kept.ok());
        const auto found = lost_roasts(present.value(), kept.value());
        REQUIRE_MESSAGE(found.ok(), found.error());
        return found.value().newest;
    };
    const std::string backup = make_backup({record, folder.path(), 14, true}, kNow).value().path;
    seal(record, 1, "as it was");
    CHECK(lost(backup).empty());
    seal(backup, 1, "as it was");
    CHECK(lost(backup).empty());
    seal(record, 2, "with a mark moved");
    CHECK(lost(backup) == std::vector<std::uint64_t>{1});
    change(backup, "PRAGMA user_version=1; DROP TABLE seals; CREATE TABLE t(x); INSERT INTO t VALUES (1)");
    CHECK(lost(backup).empty());
}

TEST_CASE("a backup that can't be copied whole leaves the record alone and no copy behind") {
    const TempDir folder;
    const std::string record = folder.file("record.sqlite");
    write_record(record, 2);
    const std::string backup = make_backup({record, folder.path(), 14, true}, kNow).value().path;
    const auto place = RecordPlace::take(record);
    REQUIRE(place.ok());
    change(backup, "UPDATE frames SET body=zeroblob(length(body)) WHERE watch=2");  // after the look
    const auto refused = place.value().restore(backup);
    REQUIRE_FALSE(refused.ok());
    CHECK(refused.error().find("frames of watch 2") != std::string::npos);
    CHECK(refused.error().find("it was removed again") != std::string::npos);
    for (const auto& entry : std::filesystem::directory_iterator(folder.path()))
        CHECK(entry.path().string().find(".restor") == std::string::npos);
    CHECK(verify_record(record).value().damage.empty());
}

TEST_CASE("what root restores belongs to the record's user, or else to the folder's") {
    const TempDir folder;
    const std::string record = folder.file("record.sqlite");
    write_record(record, 2);
    const std::string backup = make_backup({record, folder.path(), 14, true}, kNow).value().path;
    const uid_t user = geteuid() == 0 ? 65534 : geteuid();  // nobody in particular
    const auto restored = [&](const std::string& path) {
        REQUIRE(chown(folder.path().c_str(), user, getegid()) == 0);
        const auto done = RecordPlace::take(path).value().restore(backup);
        REQUIRE_MESSAGE(done.ok(), done.error());
        const pid_t child = fork();
        REQUIRE(child >= 0);
        if (child == 0) {
            if (geteuid() != user && setuid(user) != 0) _exit(3);
            _exit(Recorder::open({path}).ok() ? 0 : 1);
        }
        int status = 0;
        REQUIRE(waitpid(child, &status, 0) == child);
        CHECK(WIFEXITED(status));
        CHECK(WEXITSTATUS(status) == 0);
    };
    restored(folder.file("new.sqlite"));
    REQUIRE(chown(record.c_str(), user, getegid()) == 0);
    REQUIRE(chmod(record.c_str(), 0600) == 0);
    restored(record);
    CHECK(std::filesystem::status(record).permissions() ==
          (std::filesystem::perms::owner_read | std::filesystem::perms::owner_write));
}

}  // namespace drumwatch

#include "record/open_record.hpp"

#include <doctest/doctest.h>

#include <sys/mount.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>
#include <cstdio>

#include <filesystem>
#include <fstream>

#include "record/recorder.hpp"
#include "record/row_writer.hpp"
#include "support/sample_record.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {
namespace {

namespace fs = std::filesystem;

std::string refusal(const std::string& path) {
    const auto opened = Recorder::open({path});
    REQUIRE(!opened.ok());
    return opened.error();
}

bool says(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

/// An unclean stop with a roast in the drum, without killing anybody: the writer simply never says the end.
void leave_open(const std::string& path) {
    auto opened = open_record(path);
    REQUIRE_MESSAGE(opened.ok(), opened.error());
    auto rows = RowWriter::prepare(opened.value().database);
    REQUIRE(rows.ok());
    REQUIRE(rows.value().write(Row{sample_watch(1)}).ok());
    RoastRecord roast = sample_roast_row(1, 1, 2000, 600);
    roast.state = RoastState::roasting;
    roast.drop.reset();
    REQUIRE(rows.value().write(Row{roast}).ok());
    for (const auto& packed : pack_rows(sample_roast(1, 0, 60))) {
        REQUIRE(rows.value().write_frames(1, packed, FrameForm::written).ok());
    }
}

}  // namespace

TEST_CASE("opening makes the last folder and says what it did") {
    const TempDir folder;
    const std::string path = folder.file("saltmarsh/record.db");
    const auto opened = open_record(path);
    REQUIRE_MESSAGE(opened.ok(), opened.error());
    const RecordFound& found = opened.value().found;
    CHECK(found.next_watch == 1);
    CHECK(found.next_roast == 1);
    CHECK(!found.unclean);
    REQUIRE(found.sentences.size() == 2);
    CHECK(says(found.sentences[0], "made a new record"));
    CHECK(says(found.sentences[1], "0 roasts"));
    CHECK(says(refusal(folder.file("two/levels/record.db")), "make it"));
}

TEST_CASE("a file that is no database is refused and left alone") {
    const TempDir folder;
    const std::string path = folder.file("notes.txt");
    std::ofstream(path) << "buy more sacks, and a new scoop for the second shift";
    CHECK(says(refusal(path), "is not a database"));
    CHECK(fs::file_size(path) == 52);
    CHECK(says(refusal(folder.path()), "is a folder"));
    std::ofstream(folder.file("short.db")) << "SQLite";
    CHECK(says(refusal(folder.file("short.db")), "is not a database"));
}

TEST_CASE("a file without a database's head is set aside where a daemon kept its record") {
    const TempDir folder;
    const std::string path = folder.file("record.db");
    REQUIRE(open_record(path).ok());
    std::ofstream(path, std::ios::binary | std::ios::in | std::ios::out) << "sQ";
    const auto opened = open_record(path);
    REQUIRE_MESSAGE(opened.ok(), opened.error());
    CHECK(says(opened.value().found.sentences.at(0), "is damaged: it was set aside as"));
}

TEST_CASE("an empty file becomes a record") {
    const TempDir folder;
    std::ofstream(folder.file("record.db")).flush();
    CHECK(Recorder::open({folder.file("record.db")}).ok());
}

TEST_CASE("a second daemon is refused while the first holds the record") {
    const TempDir folder;
    const std::string path = folder.file("record.db");
    {
        const auto first = Recorder::open({path});
        REQUIRE(first.ok());
        const std::string why = refusal(path);
        CHECK(says(why, "another daemon (process " + std::to_string(getpid()) + ")"));
    }
    CHECK(Recorder::open({path}).ok());
}

TEST_CASE("a newer record is refused") {
    const TempDir folder;
    const std::string path = folder.file("record.db");
    REQUIRE(open_record(path).value().database.run("PRAGMA user_version=99").ok());
    CHECK(says(refusal(path), "newer build"));
}

TEST_CASE("a record on a read-only file system is refused") {
    const TempDir folder;
    const std::string path = folder.file("record.db");
    REQUIRE(open_record(path).ok());
    if (mount(folder.path().c_str(), folder.path().c_str(), nullptr, MS_BIND, nullptr) != 0 ||
        mount(nullptr, folder.path().c_str(), nullptr, MS_BIND | MS_REMOUNT | MS_RDONLY, nullptr) != 0) {
        MESSAGE("no right to mount here: only the file's own mode is tried");
    } else {
        const auto opened = Recorder::open({path});
        umount(folder.path().c_str());
        REQUIRE(!opened.ok());
        CHECK(says(opened.error(), "can't be written"));
    }
    (void)umount(folder.path().c_str());
}

TEST_CASE("a record that its user may not write is refused") {
    const TempDir folder;
    const std::string path = folder.file("record.db");
    REQUIRE(open_record(path).ok());
    // In a child that is nobody in particular, since root may write everything.
    fs::permissions(folder.path(), fs::perms::all);
    fs::permissions(path + ".lock", fs::perms::all);
    fs::permissions(path, fs::perms::owner_read | fs::perms::group_read | fs::perms::others_read);
    const pid_t child = fork();
    REQUIRE(child >= 0);
    if (child == 0) {
        if (geteuid() == 0 && setuid(65534) != 0) _exit(3);
        const auto opened = Recorder::open({path});
        const bool refused = !opened && says(opened.error(), "is read-only");
        if (!refused) std::fprintf(stderr, "said: %s\n", opened ? "opened" : opened.error().c_str());
        _exit(refused ? 0 : 1);
    }
    int status = 0;
    REQUIRE(waitpid(child, &status, 0) == child);
    CHECK(WIFEXITED(status));
    CHECK(WEXITSTATUS(status) == 0);
}

TEST_CASE("after an unclean stop it says what it found and closes what was open") {
    const TempDir folder;
    const std::string path = folder.file("record.db");
    leave_open(path);
    {
        const auto opened = open_record(path);
        REQUIRE_MESSAGE(opened.ok(), opened.error());
        const RecordFound& found = opened.value().found;
        CHECK(found.unclean);
        CHECK(found.interrupted == 1);
        CHECK(found.next_watch == 2);
        CHECK(found.next_roast == 2);
        CHECK(found.roasts == 1);
        REQUIRE(found.sentences.size() == 1);
        CHECK(says(found.sentences[0], "1 roast;"));
        CHECK(says(found.sentences[0], "was not closed"));
        CHECK(says(found.sentences[0], "roast 1 was in the drum"));
    }
    auto again = open_record(path);
    REQUIRE(again.ok());
    CHECK(!again.value().found.unclean);
    CHECK(!again.value().found.interrupted);
    CHECK(again.value().database.text("SELECT state FROM roasts").value() == "interrupted");
    CHECK(again.value().database.text("SELECT ended FROM watches").value() == "unclean");
    CHECK(again.value().database.number("SELECT end_ms FROM watches").value() == 59'750);
}

TEST_CASE("a damaged record is set aside and a new one begins") {
    const TempDir folder;
    const std::string path = folder.file("record.db");
    leave_open(path);
    {
        std::fstream file(path, std::ios::in | std::ios::out | std::ios::binary);
        file.seekp(4096 * 2);
        for (int i = 0; i < 4096 * 10; ++i) file.put('\x5a');
    }
    const auto opened = open_record(path);
    REQUIRE_MESSAGE(opened.ok(), opened.error());
    CHECK(opened.value().found.roasts == 0);
    REQUIRE(!opened.value().found.sentences.empty());
    CHECK(says(opened.value().found.sentences[0], "set aside as " + path + ".damaged-"));
    int aside = 0;
    for (const auto& entry : fs::directory_iterator(folder.path())) {
        aside += says(entry.path().string(), ".damaged-") ? 1 : 0;
    }
    CHECK(aside >= 1);
}

}  // namespace drumwatch

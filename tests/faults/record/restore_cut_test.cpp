// A restore that is cut off at each of its steps: a child that does it for real is stopped by ptrace(2)
// before each system call that changes a name or syncs, and killed there. What the kernel was told until then
// is what a journalling disk holds; names that reach a disk in another order are laid out by hand. Either the
// record that was there is in its place, with what was in its log only, or the backup is, and the old one
// beside it.
#include <doctest/doctest.h>
#include <sys/ptrace.h>
#include <sys/syscall.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <csignal>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <vector>

#include "record/backup_folder.hpp"
#include "record/open_record.hpp"
#include "record/reader.hpp"
#include "record/restore.hpp"
#include "record/row_writer.hpp"
#include "record/verify.hpp"
#include "support/sample_record.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {
namespace {

namespace fs = std::filesystem;

constexpr std::uint64_t kInBackup = 2;
constexpr std::uint64_t kInFile = 3;  // of the record's roasts, without its log
constexpr std::uint64_t kInLog = 5;   // with it
constexpr long kNameOrSync[] = {      // what a restore calls of these is the C library's affair
#ifdef SYS_rename
    SYS_rename,   SYS_unlink,
#endif
    SYS_renameat, SYS_renameat2, SYS_unlinkat, SYS_fsync, SYS_fdatasync};

void add_roasts(Database& database, std::uint64_t from, std::uint64_t to) {
    auto rows = RowWriter::prepare(database);
    REQUIRE(rows.ok());
    for (std::uint64_t id = from; id <= to; ++id) {
        REQUIRE(rows.value().write(Row{sample_watch(id)}).ok());
        REQUIRE(rows.value().write(Row{sample_roast_row(id, id, 1'000, 50)}).ok());
    }
}

/// A record whose newest roasts are in its log only, as a cut leaves one, and a backup of before.
class Site {
  public:
    Site() {
        fs::create_directory(folder_.file("made"));
        fs::create_directory(folder_.file("stick"));
        const std::string path = folder_.file("made/record.sqlite");
        auto opened = open_record(path);
        REQUIRE_MESSAGE(opened.ok(), opened.error());
        Database& database = opened.value().database;
        add_roasts(database, 1, kInBackup);
        const auto made = make_backup({path, folder_.file("stick"), 14, true}, {1'764'067'327'250});
        REQUIRE_MESSAGE(made.ok(), made.error());
        backup = made.value().path;
        add_roasts(database, kInBackup + 1, kInFile);
        REQUIRE(database.run("PRAGMA wal_checkpoint(TRUNCATE)").ok());
        add_roasts(database, kInFile + 1, kInLog);
        for (const char* tail : {"", "-wal", "-shm"})
            fs::copy_file(path + tail, folder_.file(std::string("kept.sqlite") + tail));
    }

    /// As the cut left it, alone in a folder.
    void lay_out() const {
        fs::remove_all(folder_.file("here"));
        fs::create_directory(folder_.file("here"));
        for (const char* tail : {"", "-wal", "-shm"})
            fs::copy_file(folder_.file(std::string("kept.sqlite") + tail), record + tail);
    }
    std::vector<std::string> set_aside() const {
        std::vector<std::string> found;
        for (const auto& entry : fs::directory_iterator(folder_.file("here"))) {
            const std::string path = entry.path().string();
            const auto number = path.find(".before-restore-");
            if (number != std::string::npos && path.find_first_not_of("0123456789", number + 16) == path.npos)
                found.push_back(path);
        }
        std::sort(found.begin(), found.end());
        return found;
    }

  private:
    TempDir folder_;

  public:
    const std::string record = folder_.file("here/record.sqlite");
    std::string backup;
};

std::uint64_t roasts_in(const std::string& path) {
    const auto opened = open_record(path);
    REQUIRE_MESSAGE(opened.ok(), opened.error());
    return opened.value().found.roasts;
}

bool says_restore(const std::string& path) {
    const auto opened = open_record(path);
    REQUIRE_MESSAGE(opened.ok(), opened.error());
    return opened.value().found.sentences.front().find("a restore of") == 0;
}

/// What must hold once the daemon has opened what a cut left. True: the backup is in its place.
bool check_site(const Site& site) {
    const std::uint64_t roasts = roasts_in(site.record);
    const auto aside = site.set_aside();
    for (const char* tail : {".restored", ".restored.part", ".restoring", ".restoring.part"})
        CHECK_FALSE(fs::exists(site.record + tail));
    const auto verified = verify_record(site.record);
    REQUIRE_MESSAGE(verified.ok(), verified.error());
    CHECK(verified.value().damage.empty());
    if (roasts == kInLog) {
        CHECK(aside.empty());
        return false;
    }
    REQUIRE(roasts == kInBackup);
    REQUIRE(aside.size() == 1);
    CHECK(roasts_in(aside.front()) == kInLog);
    return true;
}

/// The child stops itself first, is let go on, and dies before its call number `calls`. False: it had fewer,
/// and ended well.
bool restore_until(const Site& site, int calls) {
    const pid_t child = fork();
    REQUIRE(child >= 0);
    if (child == 0) {
        if (ptrace(PTRACE_TRACEME, 0, nullptr, nullptr) != 0) _exit(3);
        raise(SIGSTOP);
        _exit(RecordPlace::take(site.record).value().restore(site.backup).ok() ? 0 : 1);
    }
    int status = 0;
    REQUIRE(waitpid(child, &status, 0) == child);
    REQUIRE_MESSAGE(WIFSTOPPED(status), "ptrace is refused here");
    REQUIRE(ptrace(PTRACE_SETOPTIONS, child, nullptr, PTRACE_O_TRACESYSGOOD | PTRACE_O_EXITKILL) == 0);
    for (;;) {
        REQUIRE(ptrace(PTRACE_SYSCALL, child, nullptr, nullptr) == 0);
        REQUIRE(waitpid(child, &status, 0) == child);
        if (!WIFSTOPPED(status)) break;
        if (WSTOPSIG(status) != (SIGTRAP | 0x80)) continue;
        __ptrace_syscall_info call{};
        REQUIRE(ptrace(PTRACE_GET_SYSCALL_INFO, child, sizeof call, &call) > 0);
        if (call.op != PTRACE_SYSCALL_INFO_ENTRY) continue;
        const auto number = static_cast<long>(call.entry.nr);
        if (std::find(std::begin(kNameOrSync), std::end(kNameOrSync), number) == std::end(kNameOrSync))
            continue;
        if (--calls > 0) continue;
        kill(child, SIGKILL);
        REQUIRE(waitpid(child, &status, 0) == child);
        REQUIRE(WIFSIGNALED(status));
        return true;
    }
    REQUIRE(WIFEXITED(status));
    CHECK(WEXITSTATUS(status) == 0);
    return false;
}

}  // namespace

TEST_CASE(
    "a restore killed before any of its steps leaves the record with its log, or the backup in its place") {
    const Site site;
    int before = 0;
    int after = 0;
    int calls = 1;
    for (;; ++calls) {
        CAPTURE(calls);
        site.lay_out();
        const bool cut = restore_until(site, calls);
        (check_site(site) ? after : before)++;
        if (!cut) break;
    }
    MESSAGE((calls - 1), " steps: ", before, " cuts left the old record, ", (after - 1), " the restored one");
    CHECK(before > 5);
    CHECK(after > 6);
}

TEST_CASE("another restore after one that was cut off finishes it first, and the old record is kept whole") {
    const Site site;
    for (int calls = 1;; ++calls) {
        CAPTURE(calls);
        site.lay_out();
        const bool cut = restore_until(site, calls);
        const auto again = RecordPlace::take(site.record).value().restore(site.backup);
        REQUIRE_MESSAGE(again.ok(), again.error());
        CHECK(roasts_in(site.record) == kInBackup);
        const auto aside = site.set_aside();
        REQUIRE(!aside.empty());
        CHECK(roasts_in(aside.front()) == kInLog);
        if (aside.size() == 2) CHECK(roasts_in(aside.back()) == kInBackup);
        CHECK(aside.size() <= 2);
        if (!cut) break;
    }
}

TEST_CASE("in whatever order a restore's names reach the disk, the next start goes on with it and says so") {
    const Site site;
    const std::string aside = site.record + ".before-restore-7";
    const std::array<std::string, 3> tails{"", "-wal", "-shm"};
    for (unsigned moved = 0; moved < 8; ++moved) {
        CAPTURE(moved);
        site.lay_out();
        fs::copy_file(site.backup, site.record + ".restored");
        std::ofstream(site.record + ".restoring") << "7\n";
        for (unsigned i = 0; i < 3; ++i)
            if ((moved >> i & 1U) != 0) fs::rename(site.record + tails[i], aside + tails[i]);
        CHECK(RecordReader::open(site.record).error().find("cut off half-way") != std::string::npos);
        CHECK(says_restore(site.record));
        CHECK(check_site(site));
        CHECK(fs::exists(aside));
        CHECK_FALSE(says_restore(site.record));
    }
}

TEST_CASE(
    "a mark after everything else is done, one without its copy, and a copy without a mark are told apart") {
    const Site site;
    const std::string aside = site.record + ".before-restore-7";
    site.lay_out();
    for (const char* tail : {"", "-wal", "-shm"}) fs::rename(site.record + tail, aside + tail);
    fs::copy_file(site.backup, site.record);
    std::ofstream(site.record + ".restoring") << "7\n";
    CHECK(says_restore(site.record));
    CHECK(check_site(site));

    site.lay_out();
    std::ofstream(site.record + ".restored") << "half a copy";
    CHECK(says_restore(site.record));
    CHECK_FALSE(check_site(site));

    site.lay_out();
    for (const char* tail : {"", "-wal", "-shm"}) fs::rename(site.record + tail, aside + tail);
    std::ofstream(site.record + ".restoring") << "7\n";
    const auto opened = open_record(site.record);
    REQUIRE(opened.ok());
    CHECK(opened.value().found.sentences.front().find("its copy is gone; the record that was there is " +
                                                      aside) != std::string::npos);
    CHECK(roasts_in(aside) == kInLog);
}

TEST_CASE("a restore over a damaged record takes its log along, and overwrites no earlier one") {
    const Site site;
    site.lay_out();
    std::ofstream(site.record, std::ios::binary | std::ios::in | std::ios::out) << "damage";
    const auto first = RecordPlace::take(site.record).value().restore(site.backup);
    REQUIRE_MESSAGE(first.ok(), first.error());
    CHECK(fs::file_size(first.value() + "-wal") > 0);
    CHECK_FALSE(fs::exists(site.record + "-wal"));
    const auto second =
        RecordPlace::take(site.record).value().restore(site.backup);  // within the same second, or nearly
    REQUIRE_MESSAGE(second.ok(), second.error());
    CHECK(first.value() != second.value());
    CHECK(site.set_aside().size() == 2);
    CHECK(roasts_in(site.record) == kInBackup);
}

}  // namespace drumwatch

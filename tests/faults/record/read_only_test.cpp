// A file system that turns read-only while the record is open, as one does after an error (errors=remount-ro
// in ext4(5)), and is writable again later. SQLite's own file layer runs; only the calls under it, which it
// lets a test replace (xSetSystemCall, sqlite.org/c3ref/vfs.html), answer EROFS as path_resolution(7),
// open(2) and unlink(2) say. A sync of such a file system succeeds.
#include <doctest/doctest.h>
#include <fcntl.h>
#include <sqlite3.h>

#include <atomic>
#include <cerrno>
#include <map>

#include "record/batch_writer.hpp"
#include "record/reader.hpp"
#include "record_batches.hpp"
#include "support/sample_record.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {
namespace {

using Call = sqlite3_syscall_ptr;

std::atomic<bool> read_only = false;
std::atomic<int> refused_calls = 0;
std::map<std::string, Call> real_calls;  // filled before SQLite uses any replacement

template <typename Result>
Result refuse() {
    ++refused_calls;
    errno = EROFS;
    return Result{-1};
}

template <typename Signature>
Signature real(const char* name) {
    return reinterpret_cast<Signature>(real_calls.at(name));
}

int do_open(const char* path, int flags, int mode) {
    if (read_only && (flags & (O_WRONLY | O_RDWR | O_CREAT)) != 0) return refuse<int>();
    return real<int (*)(const char*, int, int)>("open")(path, flags, mode);
}
ssize_t do_write(int file, const void* from, size_t size) {
    if (read_only) return refuse<ssize_t>();
    return real<ssize_t (*)(int, const void*, size_t)>("write")(file, from, size);
}
ssize_t do_pwrite(int file, const void* from, size_t size, off_t at) {
    if (read_only) return refuse<ssize_t>();
    return real<ssize_t (*)(int, const void*, size_t, off_t)>("pwrite")(file, from, size, at);
}
ssize_t do_pwrite64(int file, const void* from, size_t size, off64_t at) {
    if (read_only) return refuse<ssize_t>();
    return real<ssize_t (*)(int, const void*, size_t, off64_t)>("pwrite64")(file, from, size, at);
}
int do_truncate(int file, off_t size) {
    return read_only ? refuse<int>() : real<int (*)(int, off_t)>("ftruncate")(file, size);
}
int do_unlink(const char* path) {
    return read_only ? refuse<int>() : real<int (*)(const char*)>("unlink")(path);
}

/// While one lives, turn(true) makes every file system read-only for SQLite. One at a time.
class TurningDisk {
  public:
    TurningDisk() {
        replace("open", reinterpret_cast<Call>(do_open));
        replace("write", reinterpret_cast<Call>(do_write));
        replace("pwrite", reinterpret_cast<Call>(do_pwrite));
        replace("pwrite64", reinterpret_cast<Call>(do_pwrite64));
        replace("ftruncate", reinterpret_cast<Call>(do_truncate));
        replace("unlink", reinterpret_cast<Call>(do_unlink));
        refused_calls = 0;
    }
    ~TurningDisk() {
        turn(false);
        for (const auto& [name, call] : real_calls) vfs_->xSetSystemCall(vfs_, name.c_str(), call);
    }
    TurningDisk(const TurningDisk&) = delete;
    TurningDisk& operator=(const TurningDisk&) = delete;
    void turn(bool to_read_only) { read_only = to_read_only; }
    int refused() const { return refused_calls; }

  private:
    void replace(const char* name, Call with) {
        const Call now = vfs_->xGetSystemCall(vfs_, name);
        if (now == nullptr) return;  // this build of SQLite does not use it
        real_calls[name] = now;
        REQUIRE(vfs_->xSetSystemCall(vfs_, name, with) == SQLITE_OK);
    }
    sqlite3_vfs* vfs_ = sqlite3_vfs_find(nullptr);
};

std::unique_ptr<BatchWriter> writer_of(const std::string& path) {
    auto opened = open_record(path);
    REQUIRE_MESSAGE(opened.ok(), opened.error());
    auto writer = BatchWriter::make(std::move(opened.value()), {path});
    REQUIRE_MESSAGE(writer.ok(), writer.error());
    return std::move(writer.value());
}

}  // namespace

TEST_CASE("a file system that turns read-only after any commit, and back, costs nothing") {
    for (int before = 0; before < kBatches; ++before) {
        CAPTURE(before);
        const TempDir folder;
        const std::string path = folder.file("record.db");
        TurningDisk disk;
        std::set<int> recorded;
        {
            const auto writer = writer_of(path);
            std::string notice;
            for (int i = 0; i < before; ++i) {
                REQUIRE(writer->commit(batch_of(i)).written);
                recorded.insert(i);
                (void)writer->upkeep(i % 2 == 0, notice);
            }
            const std::set<int> until_then = recorded;
            disk.turn(true);
            write_batches(*writer, 2, recorded);  // checks that each failure is said
            CHECK(recorded == until_then);
            CHECK(disk.refused() > 0);
            if (before > 0) {  // what is recorded can still be asked for
                const auto reader = RecordReader::open(path);
                REQUIRE_MESSAGE(reader.ok(), reader.error());
                CHECK(reader.value()->commands(1).value().size() == recorded.size());
            }
            disk.turn(false);
            write_batches(*writer, 1, recorded);
        }
        CHECK(recorded.size() == kBatches);
        check_after(path, recorded);
    }
}

TEST_CASE("a recorder on a file system that turned read-only says so, and writes all once it is back") {
    TurningDisk disk;
    check_failing_and_back([&] { disk.turn(true); }, [&] { disk.turn(false); });
}

TEST_CASE("a stop while the file system is read-only ends, and the record is whole up to then") {
    const TempDir folder;
    const std::string path = folder.file("record.db");
    TurningDisk disk;
    auto recorder = roasting_recorder(path);
    disk.turn(true);
    CHECK_FALSE(commit_command(*recorder, "during"));
    recorder.reset();
    {
        const auto refused = open_record(path);
        REQUIRE_FALSE(refused.ok());
        CHECK_MESSAGE(refused.error().find("is read-only") != std::string::npos, refused.error());
    }
    disk.turn(false);
    auto again = open_record(path);
    REQUIRE_MESSAGE(again.ok(), again.error());
    CHECK(again.value().found.unclean);
    CHECK(again.value().database.text("PRAGMA integrity_check").value() == "ok");
    CHECK(again.value().database.text("SELECT group_concat(client_id) FROM commands").value() == "before");
}

}  // namespace drumwatch

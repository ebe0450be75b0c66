#include "support/fault_vfs.hpp"

#include <sqlite3.h>

#include <stdexcept>
#include <thread>

namespace drumwatch {
namespace {

FaultVfs* current = nullptr;
sqlite3_vfs* real_vfs = nullptr;
sqlite3_vfs fault_vfs;

struct File {
    sqlite3_file base;  // first: SQLite sees only this; the real file stands behind this struct
    const char* path;
    bool counted;
};

sqlite3_file* real(sqlite3_file* file) {
    return reinterpret_cast<sqlite3_file*>(reinterpret_cast<File*>(file) + 1);
}

int fault(sqlite3_file* file, int io_error) {
    return reinterpret_cast<File*>(file)->counted ? current->next_operation(io_error) : SQLITE_OK;
}

int do_close(sqlite3_file* f) { return real(f)->pMethods->xClose(real(f)); }
int do_read(sqlite3_file* f, void* to, int size, sqlite3_int64 at) {
    if (reinterpret_cast<File*>(f)->counted && current->read_fails()) return SQLITE_IOERR_READ;
    return real(f)->pMethods->xRead(real(f), to, size, at);
}
int do_write(sqlite3_file* f, const void* from, int size, sqlite3_int64 at) {
    const auto* file = reinterpret_cast<File*>(f);
    if (file->counted && !current->power_is_off()) {
        // Also where it fails now: some of its sectors may reach the disk while the power goes.
        current->files().write(file->path, at,
                               {static_cast<const char*>(from), static_cast<std::size_t>(size)});
    }
    if (const int failed = fault(f, SQLITE_IOERR_WRITE); failed != SQLITE_OK) return failed;
    return real(f)->pMethods->xWrite(real(f), from, size, at);
}
int do_truncate(sqlite3_file* f, sqlite3_int64 size) {
    if (const int failed = fault(f, SQLITE_IOERR_TRUNCATE); failed != SQLITE_OK) return failed;
    const auto* file = reinterpret_cast<File*>(f);
    if (file->counted) current->files().truncate(file->path, size);
    return real(f)->pMethods->xTruncate(real(f), size);
}
int do_sync(sqlite3_file* f, int flags) {
    if (const int failed = fault(f, SQLITE_IOERR_FSYNC); failed != SQLITE_OK) return failed;
    // What reaches the disk is UnsyncedFiles' story; waiting for the real one would only be slow.
    const auto* file = reinterpret_cast<File*>(f);
    if (!file->counted) return real(f)->pMethods->xSync(real(f), flags);
    current->synced(file->path);
    return SQLITE_OK;
}
int do_size(sqlite3_file* f, sqlite3_int64* size) { return real(f)->pMethods->xFileSize(real(f), size); }
int do_lock(sqlite3_file* f, int level) { return real(f)->pMethods->xLock(real(f), level); }
int do_unlock(sqlite3_file* f, int level) { return real(f)->pMethods->xUnlock(real(f), level); }
int do_check(sqlite3_file* f, int* out) { return real(f)->pMethods->xCheckReservedLock(real(f), out); }
int do_control(sqlite3_file* f, int op, void* arg) {
    return real(f)->pMethods->xFileControl(real(f), op, arg);
}
int do_sector(sqlite3_file* f) { return real(f)->pMethods->xSectorSize(real(f)); }
int do_traits(sqlite3_file* f) { return real(f)->pMethods->xDeviceCharacteristics(real(f)); }
int do_shm_map(sqlite3_file* f, int page, int size, int extend, void volatile** out) {
    return real(f)->pMethods->xShmMap(real(f), page, size, extend, out);
}
int do_shm_lock(sqlite3_file* f, int at, int n, int flags) {
    return real(f)->pMethods->xShmLock(real(f), at, n, flags);
}
void do_shm_barrier(sqlite3_file* f) { real(f)->pMethods->xShmBarrier(real(f)); }
int do_shm_unmap(sqlite3_file* f, int remove) { return real(f)->pMethods->xShmUnmap(real(f), remove); }

const sqlite3_io_methods kMethods = {
    2,           do_close,       do_read,      do_write,   do_truncate, do_sync,   do_size,
    do_lock,     do_unlock,      do_check,     do_control, do_sector,   do_traits, do_shm_map,
    do_shm_lock, do_shm_barrier, do_shm_unmap, nullptr,    nullptr};

int do_open(sqlite3_vfs*, const char* path, sqlite3_file* f, int flags, int* out_flags) {
    auto* file = reinterpret_cast<File*>(f);
    file->base.pMethods = nullptr;
    file->path = path;  // stays until the file is closed (sqlite.org/c3ref/vfs.html)
    file->counted =
        path != nullptr && (flags & (SQLITE_OPEN_MAIN_DB | SQLITE_OPEN_WAL | SQLITE_OPEN_MAIN_JOURNAL)) != 0;
    if (file->counted && current->power_is_off()) return SQLITE_CANTOPEN;
    const int code = real_vfs->xOpen(real_vfs, path, real(f), flags, out_flags);
    if (real(f)->pMethods != nullptr) file->base.pMethods = &kMethods;
    if (code == SQLITE_OK && file->counted) current->files().open(path);
    return code;
}

int do_delete(sqlite3_vfs*, const char* path, int sync_folder) {
    if (current->power_is_off()) return SQLITE_IOERR_DELETE;
    const int code = real_vfs->xDelete(real_vfs, path, sync_folder);
    if (code == SQLITE_OK) current->files().remove(path, sync_folder != 0);
    return code;
}

}  // namespace

FaultVfs::FaultVfs() {
    if (current != nullptr) throw std::logic_error("one FaultVfs at a time");
    current = this;
    real_vfs = sqlite3_vfs_find(nullptr);
    fault_vfs = *real_vfs;
    fault_vfs.zName = "drumwatch-fault";
    fault_vfs.szOsFile = static_cast<int>(sizeof(File)) + real_vfs->szOsFile;
    fault_vfs.pNext = nullptr;
    fault_vfs.xOpen = do_open;
    fault_vfs.xDelete = do_delete;
    sqlite3_vfs_register(&fault_vfs, 1);
}

FaultVfs::~FaultVfs() {
    sqlite3_vfs_unregister(&fault_vfs);
    sqlite3_vfs_register(real_vfs, 1);
    current = nullptr;
}

void FaultVfs::fail_at(std::int64_t nth, bool for_ever, DiskFault fault) {
    struck_ = false;
    for_ever_ = for_ever;
    fault_ = fault;
    left_ = nth;
}

void FaultVfs::cut_power_at(std::int64_t nth) {
    cuts_power_ = true;
    fail_at(nth, true, DiskFault::io_error);
}

void FaultVfs::power_returns(const DiskImage& left) {
    heal();
    files_.boot(left);
}

void FaultVfs::heal() {
    left_ = -1;
    for_ever_ = false;
    cuts_power_ = false;
}

void FaultVfs::stall(bool on) {
    const std::lock_guard lock(stall_mutex_);
    stalled_ = on;
    released_.notify_all();
}

int FaultVfs::next_operation(int io_error) {
    ++operations_;
    {
        std::unique_lock lock(stall_mutex_);
        released_.wait(lock, [this] { return !stalled_; });
    }
    const int code = fault_ == DiskFault::full        ? SQLITE_FULL
                     : fault_ == DiskFault::read_only ? SQLITE_READONLY
                                                      : io_error;
    if (left_ > 0 && --left_ == 0) {
        struck_ = true;
        return code;
    }
    return struck_ && for_ever_ && left_ == 0 ? code : SQLITE_OK;
}

bool FaultVfs::read_fails() {
    if (read_takes_.load().count() > 0) std::this_thread::sleep_for(read_takes_.load());
    return reads_too_ && struck_ && for_ever_;
}

void FaultVfs::synced(const std::string& path) {
    ++syncs_;
    files_.sync(path);
}

}  // namespace drumwatch

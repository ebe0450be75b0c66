// An SQLite file layer that fails when told, for programs under test that know nothing of it: while an object
// of this class lives it is the process's default (sqlite.org/vfs.html). One at a time; set faults from any
// thread.
//
// It counts every write, sync and truncation of database and log files, and keeps what is synced apart from
// what is only written (unsynced_files.hpp), so that the power can be cut.
#pragma once

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <mutex>
#include <string>

#include "support/unsynced_files.hpp"

struct sqlite3_vfs;

namespace drumwatch {

/// What a failing operation says.
enum class DiskFault { io_error, full, read_only };

class FaultVfs {
  public:
    FaultVfs();
    ~FaultVfs();
    FaultVfs(const FaultVfs&) = delete;
    FaultVfs& operator=(const FaultVfs&) = delete;

    /// The nth operation from now on fails so, once or with all that follow.
    void fail_at(std::int64_t nth, bool for_ever, DiskFault fault);
    void heal();
    /// From now on every operation hangs, until stall(false); release it before the end.
    void stall(bool on);
    /// Reads take so long each, as on a worn card.
    void slow_reads(std::chrono::microseconds each) { read_takes_ = each; }
    /// With `too`, reads fail as well once the fault has struck for ever.
    void fail_reads(bool too) { reads_too_ = too; }
    /// Has the fault struck since fail_at()?
    bool struck() const { return struck_; }
    std::int64_t operations() const { return operations_; }
    std::int64_t syncs() const { return syncs_; }

    /// The power goes at the nth operation from now on, which may still reach the disk in part if it is a
    /// write; all later ones fail.
    void cut_power_at(std::int64_t nth);
    bool power_is_off() const { return struck_ && cuts_power_; }
    /// With every connection closed: the disk holds this, and works again.
    void power_returns(const DiskImage& left);

    // For the file layer itself.
    /// SQLITE_OK, or what the operation fails with; `io_error` is its own code for an I/O error.
    int next_operation(int io_error);
    bool read_fails();
    void synced(const std::string& path);
    UnsyncedFiles& files() { return files_; }

  private:
    UnsyncedFiles files_;
    std::mutex stall_mutex_;
    std::condition_variable released_;
    bool stalled_ = false;
    std::atomic<std::int64_t> operations_ = 0;
    std::atomic<std::int64_t> syncs_ = 0;
    std::atomic<std::int64_t> left_ = -1;
    std::atomic<bool> for_ever_ = false;
    std::atomic<DiskFault> fault_ = DiskFault::io_error;
    std::atomic<bool> cuts_power_ = false;
    std::atomic<bool> struck_ = false;
    std::atomic<bool> reads_too_ = false;
    std::atomic<std::chrono::microseconds> read_takes_ = std::chrono::microseconds{0};
};

}  // namespace drumwatch

// An SQLite file layer that fails when told, for programs under test that know nothing of it: while an object
// of this class lives it is the process's default (sqlite.org/vfs.html). One at a time; set faults from any
// thread.
//
// It counts every write, sync and truncation of database and log files. It also keeps what a power cut would
// leave: power_cut() puts each file back to its content at its newest sync, as if all later writes had stayed
// in a cache.
#pragma once

#include <atomic>
#include <condition_variable>
#include <cstdint>
#include <map>
#include <mutex>
#include <string>

struct sqlite3_vfs;

namespace drumwatch {

class FaultVfs {
  public:
    FaultVfs();
    ~FaultVfs();
    FaultVfs(const FaultVfs&) = delete;
    FaultVfs& operator=(const FaultVfs&) = delete;

    /// The nth operation from now on fails with an I/O error (or a full disk), once or with all that follow.
    void fail_at(std::int64_t nth, bool for_ever, bool disk_full);
    void heal();
    /// From now on every operation hangs, until stall(false); release it before the end.
    void stall(bool on);
    /// Has the fault struck since fail_at()?
    bool struck() const { return struck_; }
    std::int64_t operations() const { return operations_; }
    std::int64_t syncs() const { return syncs_; }

    /// With every connection closed: the files as they were at their newest syncs.
    void power_cut();

    // For the file layer itself.
    int next_operation();
    void synced(const std::string& path);
    void removed(const std::string& path);

  private:
    std::mutex mutex_;
    std::mutex stall_mutex_;
    std::condition_variable released_;
    bool stalled_ = false;
    std::map<std::string, std::string> durable_;  ///< path: content
    std::atomic<std::int64_t> operations_ = 0;
    std::atomic<std::int64_t> syncs_ = 0;
    std::atomic<std::int64_t> left_ = -1;
    std::atomic<bool> for_ever_ = false;
    std::atomic<bool> disk_full_ = false;
    std::atomic<bool> struck_ = false;
};

}  // namespace drumwatch

// A backup put in the place of a record. Nothing is deleted: the record that is there is set aside. Thread:
// any; no daemon may hold the record (its lock is taken). Blocks on the disk.
//
// What a power cut leaves. A record is several files (it, its log, the log's index), which no file system
// moves in one step, and without its log a record looks whole and lacks what was last written. So:
//
//   1. RECORD.restored    the backup's copy, verified and synced. Until here nothing was changed: the next
//                         start removes the copy.
//   2. RECORD.restoring   the mark, synced with its folder before anything moves: from here on the restore
//                         goes on, whatever happens. It holds the name that the old record gets.
//   3. RECORD and what belongs to it get that name, each where it still has its old one: in any order, and
//                         however often this is begun anew, nothing is overwritten. Folder synced.
//   4. RECORD.restored becomes RECORD, the folder is synced; that there is no RECORD.restored beside a mark
//                         therefore says that step 4 is over, and that RECORD is the new one.
//   5. The mark goes.
//
// The daemon's start and the next restore go on from the mark before they look at anything else; readers
// refuse a record beside one. Nothing is asked of the old record: it may be damaged.
#pragma once

#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include "core/result.hpp"
#include "record/lock_file.hpp"
#include "record/lost_roasts.hpp"

namespace drumwatch {

/// What a person should know before they say yes.
struct RestoreLook {
    std::uint64_t roasts = 0;  ///< in the backup
    LostRoasts lost;           ///< of the record: the backup does not have them, or has them otherwise
    bool record_there = false;
    std::string record_trouble;        ///< why the record there can't be compared; empty where it can
    std::vector<std::string> changed;  ///< in the backup, and not as it was sealed: a sentence each
};

/// The place of a record, held by its lock from the first look to the last rename: what a person was told
/// stays true until they have said yes.
class RecordPlace {
  public:
    /// Ends a restore that was cut off. The error: somebody else holds the record, or its disk fails.
    static Result<RecordPlace> take(const std::string& record);
    /// What became of one that was cut off; empty: there was none.
    const std::string& finished() const { return finished_; }

    /// Verifies the backup whole; the error says what is wrong with it.
    Result<RestoreLook> look(const std::string& backup) const;
    /// Where the record that was there lies now; empty: there was none.
    Result<std::string> restore(const std::string& backup) const;

  private:
    RecordPlace(LockFile lock, std::string record, std::string finished)
        : lock_(std::move(lock)), record_(std::move(record)), finished_(std::move(finished)) {}

    LockFile lock_;
    std::string record_;
    std::string finished_;
};

}  // namespace drumwatch

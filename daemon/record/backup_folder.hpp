// Backups of a record in a folder: each a whole, verified copy that stands alone, named by the time (UTC) at
// which it was made; the oldest go once there are more than are to be kept, by what they hold and not by
// their names, since a box's clock may stand in 1970 (backup_reach.hpp). Files that are not named so are
// never touched. Thread: any, on connections of its own; works while the daemon writes. Blocks on both disks.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/result.hpp"
#include "core/wall_time.hpp"

namespace drumwatch {

struct BackupOrder {
    std::string record;
    std::string folder;
    std::size_t keep = 14;   ///< newest ones
    bool same_disk = false;  ///< else the folder must be on another file system than the record
};

struct BackupDone {
    std::string path;
    std::uint64_t roasts = 0;
    std::vector<std::string> removed;
};

/// The error says what to do; an earlier backup is then still there.
Result<BackupDone> make_backup(const BackupOrder& order, WallTime now);

/// Full paths by name; none is opened.
std::vector<std::string> backup_files_in(const std::string& folder);
/// Full paths, the newest first by what they hold: each is opened.
std::vector<std::string> backups_in(const std::string& folder);

}  // namespace drumwatch

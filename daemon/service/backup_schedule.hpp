// When the daemon makes a backup by itself, and what came of the newest one. A day's first is due where the
// folder's newest is older than `every_h`, or none is there; after a failure it is tried again in ten
// minutes. Thread: core; the copying itself runs where its caller lets it.
#pragma once

#include <optional>
#include <string>

#include "config/config.hpp"
#include "core/tick.hpp"
#include "record/backup_folder.hpp"

namespace drumwatch {

class BackupSchedule {
  public:
    explicit BackupSchedule(const Config& config);
    /// Never with a batch in the drum or in the tray, nor while one is being made.
    bool due(Tick now, bool busy) const;
    void begun() { running_ = true; }
    void ended(Tick now, const Result<BackupDone>& done);
    BackupOrder order() const;
    /// "the newest backup failed: ..."; empty while all is well.
    const std::string& complaint() const { return complaint_; }

  private:
    std::optional<BackupConfig> wanted_;
    std::string record_;
    std::optional<Tick> next_;  ///< nothing: as soon as it may
    bool running_ = false;
    std::string complaint_;
};

/// After a damaged record: which backup to restore, and how.
std::string newest_backup_sentence(const RecordConfig& record);

}  // namespace drumwatch

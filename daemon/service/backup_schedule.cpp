#include "service/backup_schedule.hpp"

#include <fmt/format.h>

#include <chrono>
#include <filesystem>

namespace drumwatch {

namespace {

constexpr std::int64_t kHour_ms = 3'600'000;
constexpr std::int64_t kAgain_ms = 600'000;

/// Since a backup was last written, by the files' times; nothing where there is none, or none of the past.
/// Opens none: a start does not wait for a stick.
std::optional<std::int64_t> age_ms(const std::string& folder) {
    namespace fs = std::filesystem;
    const auto now = fs::file_time_type::clock::now();
    std::optional<fs::file_time_type::duration> youngest;
    for (const std::string& path : backup_files_in(folder)) {
        std::error_code failed;
        const auto age = now - fs::last_write_time(path, failed);
        // A clock that was set back makes a backup look young: it is never waited for.
        if (!failed && age >= age.zero() && (!youngest || age < *youngest)) youngest = age;
    }
    if (!youngest) return std::nullopt;
    return std::chrono::duration_cast<std::chrono::milliseconds>(*youngest).count();
}

}  // namespace

BackupSchedule::BackupSchedule(const Config& config)
    : wanted_(config.record.backup), record_(config.record.path) {
    if (!wanted_) return;
    const auto age = age_ms(wanted_->folder);
    if (age && *age < wanted_->every_h * kHour_ms) next_ = Tick{wanted_->every_h * kHour_ms - *age};
}

bool BackupSchedule::due(Tick now, bool busy) const {
    return wanted_ && !busy && !running_ && (!next_ || now >= *next_);
}

void BackupSchedule::ended(Tick now, const Result<BackupDone>& done) {
    running_ = false;
    complaint_ = done ? "" : "the newest backup failed: " + done.error();
    next_ = now + (done ? wanted_->every_h * kHour_ms : kAgain_ms);
}

std::string newest_backup_sentence(const RecordConfig& record) {
    const auto backups = record.backup ? backups_in(record.backup->folder) : std::vector<std::string>{};
    if (backups.empty())
        return "no backup of it is known here: record.backup in the configuration makes them";
    return fmt::format(
        "its newest backup is {}: to have it back, stop the daemon and run  drumwatch restore {} {}",
        backups.front(), backups.front(), record.path);
}

BackupOrder BackupSchedule::order() const {
    return {record_, wanted_->folder, static_cast<std::size_t>(wanted_->keep), wanted_->same_disk};
}

}  // namespace drumwatch

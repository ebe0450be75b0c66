#include <fmt/format.h>

#include <chrono>
#include <filesystem>

#include "core/counted.hpp"
#include "doctor/doctor.hpp"
#include "record/backup_folder.hpp"
#include "record/verify.hpp"

namespace drumwatch {

namespace {

constexpr std::int64_t kClockStood_h = 20 * 8'766;  // 20 years: no such backup is older than this program

std::int64_t age_h(const std::string& path) {
    std::error_code failed;
    const auto written = std::filesystem::last_write_time(path, failed);
    if (failed) return -1;
    const auto age = std::filesystem::file_time_type::clock::now() - written;
    return std::chrono::duration_cast<std::chrono::hours>(age).count();
}

}  // namespace

Finding look_at_backups(const RecordConfig& record) {
    if (!record.backup)
        return {"backup", FindingState::look, "the configuration asks for none",
                "Give record.backup a folder on another disk, or copy by hand: drumwatch backup."};
    const auto backups = backups_in(record.backup->folder);
    if (backups.empty())
        return {"backup", FindingState::broken, fmt::format("none lies in {}", record.backup->folder),
                "See that the backup disk is mounted and that the daemon's user may write there; the "
                "daemon's log says why."};
    const std::string& newest = backups.front();
    const auto verified = verify_record(newest);
    if (!verified || !verified.value().damage.empty())
        return {"backup", FindingState::broken,
                fmt::format("{}: {}", newest, verified ? verified.value().damage.front() : verified.error()),
                "Take another disk, and make one now: drumwatch backup."};
    if (!verified.value().changed.empty())
        return {"backup", FindingState::look, fmt::format("{}: {}", newest, verified.value().changed.front()),
                "Somebody else than the daemon changed the record before this backup: drumwatch verify says "
                "what."};
    const std::int64_t hours = age_h(newest);
    if (hours > kClockStood_h)
        return {"backup", FindingState::look,
                fmt::format("{} is whole, {}; it was made while the box's clock was not set, so that its "
                            "age can't be told",
                            newest, counted(verified.value().roasts, "roast")),
                "See that the box reaches a time server, or give it a clock battery."};
    const std::string text =
        fmt::format("{} is {} h old and whole, {}", newest, hours, counted(verified.value().roasts, "roast"));
    if (hours <= 2 * record.backup->every_h) return {"backup", FindingState::well, text, ""};
    return {"backup", FindingState::look, text,
            fmt::format("One is due every {} h: see that the daemon runs and the disk is mounted.",
                        record.backup->every_h)};
}

}  // namespace drumwatch

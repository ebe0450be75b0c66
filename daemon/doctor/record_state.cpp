#include <fmt/format.h>
#include <sys/stat.h>

#include <array>
#include <cerrno>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "core/counted.hpp"
#include "doctor/doctor.hpp"
#include "record/database.hpp"
#include "record/restore_steps.hpp"

namespace drumwatch {

namespace {

constexpr std::int64_t kRecentStops = 10;

/// Of the newest watches that have ended.
Result<std::int64_t> unclean_stops(Database& database) {
    return database.number(fmt::format(
        "SELECT count(*) FROM (SELECT ended FROM watches WHERE ended IS NOT NULL ORDER BY id DESC "
        "LIMIT {}) WHERE ended='unclean'",
        kRecentStops));
}

Finding unreadable(const std::string& path, const std::string& why) {
    return {"record", FindingState::broken, fmt::format("{} can't be read: {}", path, why),
            "Run the doctor as the daemon's user or as root. If it is damaged, the daemon sets it aside at "
            "its next "
            "start and begins a new one; restore the newest backup."};
}

Finding stops(Database& database) {
    const auto unclean = unclean_stops(database);
    if (!unclean) return {"stops", FindingState::look, "can't be told: " + unclean.error(), ""};
    Finding finding{
        "stops", FindingState::well,
        fmt::format("{} of the last {} watches ended without a clean stop", unclean.value(), kRecentStops),
        ""};
    if (unclean.value() == 0) return finding;
    finding.state = FindingState::look;
    finding.advice =
        "Nothing that was answered as recorded is lost by that, but SD cards suffer: see whether somebody "
        "switches "
        "the box off at the wall, whether its supply is strong enough, or what journalctl -u drumwatch says.";
    return finding;
}

}  // namespace

bool may_see_record(const std::string& record_path) {
    struct stat lock {};
    return ::stat((record_path + ".lock").c_str(), &lock) == 0 || errno != EACCES;
}

std::optional<std::string> record_holder(const std::string& record_path, const KernelFiles& files) {
    struct stat lock {};
    if (::stat((record_path + ".lock").c_str(), &lock) != 0) return std::nullopt;
    const std::string inode = ":" + std::to_string(lock.st_ino);
    std::ifstream locks(files.proc + "/locks");
    for (std::string line; std::getline(locks, line);) {
        // proc_locks(5): number, FLOCK, ADVISORY, WRITE, process, major:minor:inode, from, to
        std::istringstream words(line);
        std::array<std::string, 6> word;
        for (std::string& one : word) words >> one;
        if (word[1] == "FLOCK" && word[5].ends_with(inode)) return word[4];
    }
    return std::nullopt;
}

std::vector<Finding> look_at_record(const RecordConfig& record, std::optional<std::string> holder) {
    if (restore_is_half_done(record.path))
        return {{"record", FindingState::broken,
                 fmt::format("a restore of {} was cut off half-way", record.path),
                 "Start the daemon, or run the restore again: either goes on with it."}};
    std::error_code error;
    if (!std::filesystem::exists(record.path, error)) {
        if (error) return {unreadable(record.path, error.message())};
        return {{"record", FindingState::look, fmt::format("{} is not there yet", record.path),
                 "The daemon makes it when it starts for the first time."}};
    }
    auto database = Database::open(record.path, OpenMode::read_only);
    if (!database) return {unreadable(record.path, database.error())};
    const auto roasts = database.value().number("SELECT count(*) FROM roasts");
    if (!roasts) return {unreadable(record.path, roasts.error())};
    const std::string held = holder ? fmt::format("; held by process {}", *holder) : "; no daemon holds it";
    return {{"record", FindingState::well,
             fmt::format("{}: {}{}", record.path, counted(roasts.value(), "roast"), held), ""},
            stops(database.value())};
}

}  // namespace drumwatch

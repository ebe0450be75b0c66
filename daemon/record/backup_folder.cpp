#include "record/backup_folder.hpp"

#include <fmt/format.h>
#include <sys/stat.h>

#include <algorithm>
#include <filesystem>

#include "record/backup.hpp"
#include "record/backup_reach.hpp"
#include "record/verify.hpp"

namespace drumwatch {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view kHead = "drumwatch-";
constexpr std::string_view kTail = ".sqlite";

/// "drumwatch-20261125T104207Z.sqlite"
std::string file_name(WallTime now) {
    std::string utc = utc_text(now).substr(0, 19) + "Z";
    std::erase_if(utc, [](char c) { return c == '-' || c == ':'; });
    return std::string(kHead) + utc + std::string(kTail);
}

bool is_backup_name(const std::string& name) {
    constexpr std::string_view kForm = "dddddddd_dddddd_";  // d: a digit
    if (name.size() != kHead.size() + kForm.size() + kTail.size()) return false;
    if (!name.starts_with(kHead) || !name.ends_with(kTail)) return false;
    for (std::size_t i = 0; i < kForm.size(); ++i) {
        const char c = name[kHead.size() + i];
        if (kForm[i] == 'd' ? c < '0' || c > '9' : c != (i == 8 ? 'T' : 'Z')) return false;
    }
    return true;
}

Result<dev_t> device_of(const std::string& path) {
    struct stat found {};
    if (stat(path.c_str(), &found) != 0) return Error{fmt::format("there is nothing at {}", path)};
    return found.st_dev;
}

Result<Done> look_at_folder(const BackupOrder& order) {
    std::error_code failed;
    if (!fs::is_directory(order.folder, failed)) {
        return Error{
            fmt::format("there is no folder {}: mount the backup disk, or make the folder", order.folder)};
    }
    if (order.same_disk) return Done{};
    const auto folder = device_of(order.folder);
    const auto record = device_of(order.record);
    if (!folder) return Error{folder.error()};
    if (!record) return Error{record.error()};
    if (folder.value() != record.value()) return Done{};
    return Error{
        fmt::format("{} is on the same file system as the record, which a broken disk takes along: is the "
                    "backup disk mounted? "
                    "To put backups there all the same, say --same-disk",
                    order.folder)};
}

/// What was written is opened again as a stranger would.
Result<std::uint64_t> verified(const std::string& path) {
    const auto found = verify_copy(path);
    if (!found) return Error{found.error()};
    if (!found.value().damage.empty())
        return Error{fmt::format("the copy is damaged: {}", found.value().damage.front())};
    return found.value().roasts;
}

}  // namespace

std::vector<std::string> backup_files_in(const std::string& folder) {
    std::vector<std::string> paths;
    std::error_code failed;
    for (const auto& entry : fs::directory_iterator(folder, failed)) {
        if (is_backup_name(entry.path().filename().string())) paths.push_back(entry.path().string());
    }
    std::sort(paths.begin(), paths.end());
    return paths;
}

std::vector<std::string> backups_in(const std::string& folder) {
    auto paths = oldest_first(backup_files_in(folder));
    std::reverse(paths.begin(), paths.end());
    return paths;
}

Result<BackupDone> make_backup(const BackupOrder& order, WallTime now) {
    if (auto looked = look_at_folder(order); !looked) return Error{looked.error()};
    auto source = Database::open(order.record, OpenMode::read_only);
    if (!source) return Error{fmt::format("{} can't be opened: {}", order.record, source.error())};
    BackupDone done;
    done.path = (fs::path(order.folder) / file_name(now)).string();
    std::error_code ignored;
    if (fs::exists(done.path, ignored)) return Error{fmt::format("{} is there already", done.path)};
    // Only what is verified gets the name of a backup.
    const std::string fresh = done.path + ".new";
    if (auto copied = backup(source.value(), fresh); !copied) return Error{copied.error()};
    const auto roasts = verified(fresh);
    if (!roasts) {
        fs::remove(fresh, ignored);
        return Error{roasts.error()};
    }
    fs::rename(fresh, done.path, ignored);
    if (ignored) return Error{fmt::format("{} can't be renamed: {}", fresh, ignored.message())};
    if (auto synced = sync_folder_of(done.path); !synced) return Error{synced.error()};
    done.roasts = roasts.value();
    const auto all = backups_in(order.folder);
    for (std::size_t i = std::max<std::size_t>(order.keep, 1); i < all.size(); ++i) {
        if (all[i] != done.path && fs::remove(all[i], ignored)) done.removed.push_back(all[i]);
    }
    return done;
}

}  // namespace drumwatch

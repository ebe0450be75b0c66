#include <fmt/format.h>
#include <grp.h>
#include <pwd.h>
#include <sys/stat.h>

#include <algorithm>
#include <filesystem>

#include "doctor/doctor.hpp"

namespace drumwatch {

namespace {

constexpr const char* kSerialGroup = "dialout";  // Debian's

/// Whether that user's groups or others may read and write; a user that isn't there may not be judged.
bool may_use(const passwd& user, const struct stat& device) {
    if (user.pw_uid == device.st_uid && (device.st_mode & 0600) == 0600) return true;
    if ((device.st_mode & 0006) == 0006) return true;
    int count = 64;
    std::vector<gid_t> groups(static_cast<std::size_t>(count));
    if (getgrouplist(user.pw_name, user.pw_gid, groups.data(), &count) < 0) return true;
    groups.resize(static_cast<std::size_t>(count));
    return (device.st_mode & 0060) == 0060 &&
           std::find(groups.begin(), groups.end(), device.st_gid) != groups.end();
}

std::string group_name(gid_t id) {
    const group* found = getgrgid(id);
    return found ? found->gr_name : std::to_string(id);
}

std::string user_name_of(uid_t id) {
    const passwd* found = getpwuid(id);
    return found ? found->pw_name : std::to_string(id);
}

/// A file of the record that whoever owns the folder, and so runs the daemon, may not write.
std::optional<Finding> look_at_owner(const std::string& path, const struct stat& folder) {
    struct stat file {};
    const passwd* owner = getpwuid(folder.st_uid);
    if (folder.st_uid == 0 || !owner || ::stat(path.c_str(), &file) != 0 || may_use(*owner, file))
        return std::nullopt;
    const std::string name = owner->pw_name;
    return Finding{"record", FindingState::broken,
                   fmt::format("{} belongs to {}: {}, who keeps the record, may not write it", path,
                               user_name_of(file.st_uid), name),
                   fmt::format("As root: chown {0}:{1} {2}; then restart the daemon.", name,
                               group_name(folder.st_gid), path)};
}

}  // namespace

std::optional<Finding> look_at_rights(const std::string& device, const std::string& user_name) {
    struct stat rights {};
    const passwd* user = getpwnam(user_name.c_str());
    if (!user || ::stat(device.c_str(), &rights) != 0 || may_use(*user, rights)) return std::nullopt;
    const std::string group = group_name(rights.st_gid);
    Finding finding{
        "serial port", FindingState::broken,
        fmt::format("{} has the rights {:o} and belongs to group {}: the user {} may not read and write it",
                    device, rights.st_mode & 07777, group, user_name),
        ""};
    // Into the group of serial ports it may go; into any other it must not be talked.
    if (group == kSerialGroup && (rights.st_mode & 0060) == 0060)
        finding.advice = fmt::format("As root: adduser {} {}; then restart the daemon.", user_name, group);
    else
        finding.advice = fmt::format(
            "Serial ports usually belong to group {} with the rights 660: see what changed that (rules of "
            "udev).",
            kSerialGroup);
    return finding;
}

std::optional<Finding> look_at_writer(const std::string& record_path, const std::string& user_name) {
    const std::filesystem::path parent = std::filesystem::path(record_path).parent_path();
    const std::string folder = parent.empty() ? std::string(1, '.') : parent.string();
    struct stat rights {};
    if (::stat(folder.c_str(), &rights) != 0) return std::nullopt;
    const passwd* user = getpwnam(user_name.c_str());
    // Another user's folder may be one where that user runs the daemon by hand.
    if (user && rights.st_uid == 0 && !may_use(*user, rights)) {
        return Finding{
            "record", FindingState::broken,
            fmt::format("the user {}, as whom the service runs, may not write in {}", user_name, folder),
            "Set record.path to a file in /var/lib/drumwatch, as the package has it."};
    }
    for (const char* tail : {"", "-wal", "-shm", ".lock"})
        if (auto finding = look_at_owner(record_path + tail, rights)) return finding;
    return std::nullopt;
}

}  // namespace drumwatch

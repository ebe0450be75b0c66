#include "record/restore.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <filesystem>

#include "record/backup.hpp"
#include "record/database.hpp"
#include "record/lost_roasts.hpp"
#include "record/reader.hpp"
#include "record/restore_steps.hpp"
#include "record/verify.hpp"

namespace drumwatch {
namespace {

namespace fs = std::filesystem;

Result<LostRoasts> compare(const std::string& backup, const std::string& record) {
    if (auto readable = RecordReader::open(record); !readable) return Error{readable.error()};
    auto present = Database::open(record, OpenMode::read_only);
    auto kept = Database::open(backup, OpenMode::read_only);
    if (!present) return Error{present.error()};
    if (!kept) return Error{kept.error()};
    return lost_roasts(present.value(), kept.value());
}

/// Through no link, and only what this process's user owns: the folder is another user's, and he may not be
/// given somebody else's file.
Result<Done> give(const std::string& path, const struct stat& like, bool mode_too) {
    const auto failed = [] { return Error{std::strerror(errno)}; };
    const int file = ::open(path.c_str(), O_RDWR | O_NOFOLLOW | O_CLOEXEC);
    if (file < 0) return failed();
    struct stat now {};
    bool good = ::fstat(file, &now) == 0;
    if (good && S_ISREG(now.st_mode) && now.st_nlink == 1 && now.st_uid == geteuid()) {
        good = geteuid() != 0 || ::fchown(file, like.st_uid, like.st_gid) == 0;
        good = good && (!mode_too || ::fchmod(file, like.st_mode & 0777U) == 0) && ::fsync(file) == 0;
    }
    const Result<Done> done = good ? Result<Done>{Done{}} : Result<Done>{failed()};
    ::close(file);
    return done;
}

/// Root may do this for the daemon's user, who must be able to write what it made: the owner is that of the
/// record that was there, which gives its mode too, or else of the folder.
Result<Done> give_to_its_user(const std::string& copy, const std::string& record) {
    struct stat like {};
    const bool there = ::stat(record.c_str(), &like) == 0;
    const std::string folder = fs::path(record).parent_path().string();
    if (!there && ::stat(folder.empty() ? "." : folder.c_str(), &like) != 0)
        return Error{std::strerror(errno)};
    if (auto given = give(record + ".lock", like, false); !given) return given;
    return give(copy, like, there);
}

Error removed_again(const std::string& copy, const std::string& why) {
    std::error_code failed;
    fs::remove(copy, failed);
    return Error{fmt::format("{}: {}, and nothing was changed", why,
                             failed ? copy + " can't be removed" : "it was removed again")};
}

}  // namespace

Result<RecordPlace> RecordPlace::take(const std::string& record) {
    auto lock = LockFile::take(record);
    if (!lock) return Error{lock.error()};
    const auto finished = finish_restore(record);
    if (!finished) return Error{finished.error()};
    return RecordPlace(std::move(lock.value()), record, finished.value());
}

Result<RestoreLook> RecordPlace::look(const std::string& backup) const {
    const auto found = verify_record(backup);
    if (!found) return Error{found.error()};
    if (!found.value().damage.empty())
        return Error{
            fmt::format("{} is damaged ({}): take another backup", backup, found.value().damage.front())};
    RestoreLook look;
    look.roasts = found.value().roasts;
    look.changed = found.value().changed;
    std::error_code failed;
    look.record_there = fs::exists(record_, failed);
    if (!look.record_there) return look;
    const auto lost = compare(backup, record_);
    if (lost) {
        look.lost = lost.value();
    } else {
        look.record_trouble = lost.error();
    }
    return look;
}

Result<std::string> RecordPlace::restore(const std::string& backup_path) const {
    auto source = Database::open(backup_path, OpenMode::read_only);
    if (!source) return Error{fmt::format("{} can't be opened: {}", backup_path, source.error())};
    const std::string fresh = restored_copy(record_);
    if (auto copied = backup(source.value(), fresh); !copied) return Error{copied.error()};
    const auto whole = verify_copy(fresh);
    if (!whole || !whole.value().damage.empty())
        return removed_again(fresh, fmt::format("the copy of {} is not whole ({})", backup_path,
                                                whole ? whole.value().damage.front() : whole.error()));
    if (auto given = give_to_its_user(fresh, record_); !given)
        return removed_again(
            fresh, fmt::format("{} can't be given to the record's user ({})", fresh, given.error()));
    return put_in_place(record_);
}

}  // namespace drumwatch

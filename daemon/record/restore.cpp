#include "record/restore.hpp"

#include <fmt/format.h>

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
    const auto whole = verify_record(fresh);
    if (!whole || !whole.value().damage.empty()) {
        std::error_code failed;
        fs::remove(fresh, failed);
        return Error{fmt::format("the copy of {} is not whole ({}): {}, and nothing was changed", backup_path,
                                 whole ? whole.value().damage.front() : whole.error(),
                                 failed ? fresh + " can't be removed" : "it was removed again")};
    }
    return put_in_place(record_);
}

}  // namespace drumwatch

#include "record/restore_steps.hpp"

#include <fmt/format.h>

#include <cerrno>
#include <chrono>
#include <cstring>
#include <filesystem>
#include <fstream>

#include "record/backup.hpp"

namespace drumwatch {
namespace {

namespace fs = std::filesystem;

constexpr const char* kMark = ".restoring";
constexpr const char* kPart = ".part";
/// The main file first: without it SQLite makes no new log that could be taken for the old one.
constexpr const char* kMoved[] = {"", "-wal", "-journal", "-shm", ".suspect"};

bool there(const std::string& path) {
    std::error_code failed;
    return fs::exists(path, failed);
}

Result<Done> move(const std::string& from, const std::string& to) {
    if (std::rename(from.c_str(), to.c_str()) == 0) return Done{};
    return Error{fmt::format("{} can't be renamed to {}: {}", from, to, std::strerror(errno))};
}

/// "RECORD.before-restore-", which a number follows.
std::string aside_head(const std::string& record) { return record + ".before-restore-"; }

/// A clock that stands in 1970 after each start gives the same seconds again: nothing may be overwritten.
std::string free_name(const std::string& record) {
    const auto now = std::chrono::system_clock::now().time_since_epoch();
    for (auto number = std::chrono::duration_cast<std::chrono::seconds>(now).count();; ++number) {
        const std::string name = fmt::format("{}{}", aside_head(record), number);
        bool free = true;
        for (const char* tail : kMoved) free = free && !there(name + tail);
        if (free) return name;
    }
}

/// The mark holds the number of the name. It is there whole or not at all.
Result<Done> write_mark(const std::string& record, const std::string& aside) {
    const std::string mark = record + kMark;
    const std::string part = mark + kPart;
    std::ofstream file(part, std::ios::trunc);
    file << aside.substr(aside_head(record).size()) << '\n';
    file.close();
    if (!file) return Error{fmt::format("{} can't be written", part)};
    if (auto synced = sync_file(part); !synced)
        return Error{fmt::format("{} can't be synced: {}", part, synced.error())};
    if (auto moved = move(part, mark); !moved) return moved;
    return sync_folder_of(mark);
}

std::string read_mark(const std::string& record) {
    std::string number;
    std::ifstream file(record + kMark);
    std::getline(file, number);
    const bool digits = number.find_first_not_of("0123456789") == std::string::npos;
    return digits && !number.empty() ? aside_head(record) + number : free_name(record);
}

Result<Done> end_with(const std::string& record) {
    if (auto synced = sync_folder_of(record); !synced) return synced;
    std::error_code failed;
    fs::remove(record + kMark, failed);
    if (failed) return Error{fmt::format("{}{} can't be removed: {}", record, kMark, failed.message())};
    return sync_folder_of(record);
}

/// May be begun anew at any of its steps.
Result<Done> go_on(const std::string& record, const std::string& aside) {
    const std::string copy = restored_copy(record);
    if (!there(copy)) return end_with(record);  // it is in its place
    for (const char* tail : kMoved) {
        if (!there(record + tail)) continue;
        // Made by a stranger meanwhile, if one is there already.
        const std::string to = there(aside + tail) ? free_name(record) : aside;
        if (auto moved = move(record + tail, to + tail); !moved) return moved;
    }
    if (auto synced = sync_folder_of(record); !synced) return synced;
    if (auto moved = move(copy, record); !moved) return moved;
    return end_with(record);
}

Error half_done(const std::string& record, const std::string& why) {
    return Error{fmt::format(
        "the restore of {} is half done ({}): the next start of the daemon, or of restore, goes on with it",
        record, why)};
}

/// Of a restore that had not come to its mark.
bool take_away_leftovers(const std::string& record) {
    bool any = false;
    const std::string copy = restored_copy(record);
    for (const std::string& name : {copy, copy + kPart, copy + kPart + "-journal", copy + kPart + "-wal",
                                    copy + kPart + "-shm", record + kMark + kPart}) {
        std::error_code failed;
        any = fs::remove(name, failed) || any;
    }
    return any;
}

}  // namespace

std::string restored_copy(const std::string& record) { return record + ".restored"; }

bool restore_is_half_done(const std::string& record) { return there(record + kMark); }

Result<std::string> put_in_place(const std::string& record) {
    const std::string aside = free_name(record);
    if (auto marked = write_mark(record, aside); !marked) {
        if (restore_is_half_done(record)) return half_done(record, marked.error());
        take_away_leftovers(record);
        return Error{marked.error() + "; nothing was changed"};
    }
    if (auto done = go_on(record, aside); !done) return half_done(record, done.error());
    return there(aside) ? aside : std::string{};
}

Result<std::string> finish_restore(const std::string& record) {
    if (!restore_is_half_done(record)) {
        if (!take_away_leftovers(record)) return std::string{};
        return fmt::format("a restore of {} was cut off before it changed anything: its copy was removed",
                           record);
    }
    const std::string aside = read_mark(record);
    if (auto done = go_on(record, aside); !done) return half_done(record, done.error());
    std::string sentence = there(record)
                               ? fmt::format("a restore of {} was cut off: it is done now", record)
                               : fmt::format("a restore of {} was cut off, and its copy is gone", record);
    if (there(aside)) sentence += fmt::format("; the record that was there is {}", aside);
    return sentence;
}

}  // namespace drumwatch

#include "record/backup.hpp"

#include <fcntl.h>
#include <fmt/format.h>
#include <sqlite3.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <filesystem>

namespace drumwatch {
namespace {

// In one step: a copy in pieces from another connection than the writer's starts over with every commit. In
// WAL mode nobody waits for it.
constexpr int kAllPages = -1;

Result<Done> copy_pages(Database& from, Database& to) {
    sqlite3_backup* copy = sqlite3_backup_init(to.handle(), "main", from.handle(), "main");
    if (copy == nullptr) return Error{to.error_text()};
    // A step that ended as "busy" is no error to sqlite3_backup_finish (sqlite.org/c3ref/backup_finish.html).
    const int stepped = sqlite3_backup_step(copy, kAllPages);
    const int finished = sqlite3_backup_finish(copy);
    if (stepped != SQLITE_DONE) return Error{sqlite3_errstr(stepped)};
    if (finished != SQLITE_OK) return Error{to.error_text()};
    return Done{};
}

Result<Done> copy_and_check(Database& from, const std::string& path) {
    auto to = Database::open(path, OpenMode::create);
    if (!to) return Error{to.error()};
    if (auto copied = copy_pages(from, to.value()); !copied) return copied;
    // A copy stands alone: no -wal or -shm beside it that could be forgotten.
    if (auto plain = to.value().run("PRAGMA journal_mode=DELETE"); !plain) return plain;
    const auto check = to.value().text("PRAGMA quick_check(1)");
    if (!check) return Error{check.error()};
    if (check.value() != "ok") return Error{"the copy is damaged: " + check.value()};
    return Done{};
}

Result<Done> sync(const std::string& path, int flags) {
    const int file = ::open(path.c_str(), flags | O_CLOEXEC);
    if (file < 0) return Error{std::strerror(errno)};
    const int failed = fsync(file) == 0 ? 0 : errno;
    ::close(file);
    if (failed != 0) return Error{std::strerror(failed)};
    return Done{};
}

}  // namespace

Result<Done> sync_file(const std::string& path) { return sync(path, O_RDWR); }

Result<Done> sync_folder_of(const std::string& path) {
    const auto folder = std::filesystem::path(path).parent_path();
    return sync(folder.empty() ? "." : folder.string(), O_RDONLY | O_DIRECTORY);
}

Result<Done> backup(Database& database, const std::string& to_path) {
    const std::string part = to_path + ".part";
    std::error_code ignored;
    std::filesystem::remove(part, ignored);
    auto done = copy_and_check(database, part);
    if (done) done = sync_file(part);
    if (done && std::rename(part.c_str(), to_path.c_str()) != 0) done = Error{std::strerror(errno)};
    if (done) done = sync_folder_of(to_path);
    if (done) return done;
    std::filesystem::remove(part, ignored);
    return Error{fmt::format("no copy could be put into {}: {}", to_path, done.error())};
}

}  // namespace drumwatch

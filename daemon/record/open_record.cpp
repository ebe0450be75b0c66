#include "record/open_record.hpp"

#include <fmt/format.h>
#include <array>
#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>

#include "record/damage.hpp"
#include "record/restore_steps.hpp"
#include "record/schema.hpp"

namespace drumwatch {
namespace {

namespace fs = std::filesystem;

constexpr std::int64_t kWalLimitBytes = 4 * 1024 * 1024;

Result<Done> make_folder(const std::string& path) {
    const fs::path folder = fs::path(path).parent_path();
    std::error_code failed;
    if (folder.empty() || fs::is_directory(folder, failed)) return Done{};
    if (fs::create_directory(folder, failed)) return Done{};
    return Error{
        fmt::format("the folder {} of the record does not exist and can't be made{}: make it, or choose "
                    "another path",
                    folder.string(), failed ? " (" + failed.message() + ")" : "")};
}

/// A daemon has kept its record under this path: what does not look like a database then is a damaged record
/// (or one that the power left half written, which SQLite mends from its log), and not somebody's file.
bool was_ours(const std::string& path) {
    const auto beside = [&](const char* tail) {
        std::error_code failed;
        return fs::exists(path + tail, failed);
    };
    return beside(".lock") || beside("-wal") || beside("-journal");
}

/// Refuses what is there and is nobody's database, before SQLite would.
Result<Done> look_at_file(const std::string& path) {
    std::error_code failed;
    if (!fs::exists(path, failed)) return Done{};
    if (fs::is_directory(path, failed)) {
        return Error{fmt::format("{} is a folder: give the path of a file for the record", path)};
    }
    std::ifstream file(path, std::ios::binary);
    if (!file) {
        return Error{
            fmt::format("{} can't be read ({}): give the daemon's user the right to read and write it", path,
                        std::strerror(errno))};
    }
    std::array<char, 16> head{};
    file.read(head.data(), static_cast<std::streamsize>(head.size()));
    if (file.gcount() == 0) return Done{};  // empty: SQLite makes a database of it
    if (file.gcount() == 16 && std::memcmp(head.data(), "SQLite format 3", 16) == 0) return Done{};
    if (was_ours(path)) return Done{};
    return Error{fmt::format(
        "{} is not a database: move that file away, or choose another path for the record", path)};
}

struct OpenedDatabase {
    Database database;
    std::string migrated;
};

Result<OpenedDatabase> open_database(const std::string& path, DatabaseError& kind) {
    auto opened = Database::open(path, OpenMode::create);
    if (!opened) return Error{fmt::format("{} can't be opened: {}", path, opened.error())};
    Database& database = opened.value();
    const auto failed = [&](const std::string& what) {
        kind = database.error_kind();
        return Error{
            fmt::format("{} can't be used ({}): see that the disk is well and writable", path, what)};
    };
    if (database.read_only()) {
        return Error{
            fmt::format("{} is read-only: give the daemon's user the right to write it, or mount its file "
                        "system writable",
                        path)};
    }
    // The order matters: auto_vacuum only acts on a file that has no table yet.
    if (auto set = database.run("PRAGMA auto_vacuum=INCREMENTAL"); !set) return failed(set.error());
    const auto journal = database.text("PRAGMA journal_mode=WAL");
    if (!journal) return failed(journal.error());
    if (journal.value() != "wal") return failed("its file system can't do write-ahead logging");
    const auto set = database.run(
        fmt::format("PRAGMA synchronous=FULL; PRAGMA wal_autocheckpoint=0; PRAGMA journal_size_limit={}",
                    kWalLimitBytes));
    if (!set) return failed(set.error());
    auto migrated = migrate(database, path, migrations());
    if (!migrated) {
        kind = database.error_kind();
        return Error{migrated.error()};
    }
    return OpenedDatabase{std::move(database), migrated.value()};
}

/// So that a start does not grow with the record: without these it reads every watch, its long beginning
/// included. Made here and not by a migration, since an older build can use the file all the same.
Result<Done> index_what_is_open(Database& database) {
    return database.run(
        "CREATE INDEX IF NOT EXISTS watches_open ON watches(id) WHERE ended IS NULL;"
        "CREATE INDEX IF NOT EXISTS roasts_in_drum ON roasts(id) WHERE state='roasting'");
}

Result<Done> read_counts(Database& database, RecordFound& found) {
    const auto watch = database.number("SELECT ifnull(max(id), 0) FROM watches");
    const auto roast = database.number("SELECT ifnull(max(id), 0) FROM roasts");
    const auto roasts = database.number("SELECT count(*) FROM roasts");
    const auto open = database.number("SELECT count(*) FROM watches WHERE ended IS NULL");
    const auto drum = database.number("SELECT ifnull(max(id), 0) FROM roasts WHERE state='roasting'");
    const auto dropped = database.number(
        "SELECT charged_at + drop_ms - charge_ms FROM roasts WHERE drop_ms IS NOT NULL ORDER BY id DESC "
        "LIMIT 1");
    for (const auto* read : {&watch, &roast, &roasts, &open, &drum, &dropped}) {
        if (!*read) return Error{read->error()};
    }
    found.next_watch = static_cast<std::uint64_t>(watch.value()) + 1;
    found.next_roast = static_cast<std::uint64_t>(roast.value()) + 1;
    found.roasts = static_cast<std::uint64_t>(roasts.value());
    found.unclean = open.value() > 0;
    if (dropped.value() > 0) found.last_drop = WallTime{dropped.value()};
    if (drum.value() > 0) found.interrupted = static_cast<std::uint64_t>(drum.value());
    return Done{};
}

Result<Done> close_what_was_open(Database& database) {
    auto transaction = Transaction::begin(database);
    if (!transaction) return Error{transaction.error()};
    auto closed = database.run(
        "UPDATE roasts SET state='interrupted' WHERE state='roasting';"
        "UPDATE watches SET ended='unclean', end_ms=(SELECT to_ms FROM frames WHERE"
        " watch=watches.id ORDER BY from_ms DESC LIMIT 1)"
        " WHERE ended IS NULL");
    if (!closed) return closed;
    return transaction.value().commit();
}

void say(const std::string& path, RecordFound& found) {
    std::string sentence =
        fmt::format("opened {}: {} {}", path, found.roasts, found.roasts == 1 ? "roast" : "roasts");
    if (found.unclean) sentence += "; the last watch was not closed (power cut, or the daemon was killed)";
    if (found.interrupted) sentence += fmt::format("; roast {} was in the drum", *found.interrupted);
    found.sentences.push_back(sentence);
}

Result<OpenedDatabase> open_or_start_anew(const std::string& path, RecordFound& found) {
    DatabaseError kind = DatabaseError::none;
    auto opened = open_database(path, kind);
    if (!opened && kind != DatabaseError::damaged) return opened;
    if (opened) {
        const auto unclean =
            opened.value().database.number("SELECT count(*) FROM watches WHERE ended IS NULL");
        const bool marked = marked_damaged(path);
        if (!marked && unclean && unclean.value() == 0) return opened;
        const auto check = marked ? DamageCheck::thorough : DamageCheck::quick;
        if (damage_of(opened.value().database, check).empty()) {
            mark_damaged(path, false);
            return opened;
        }
        opened = Error{"damaged"};  // closes it
    }
    auto aside = set_aside(path);
    if (!aside) return Error{aside.error()};
    found.sentences.push_back(aside.value());
    found.set_aside = true;
    return open_database(path, kind);
}

}  // namespace

Result<OpenedRecord> open_record(const std::string& path) {
    if (auto folder = make_folder(path); !folder) return Error{folder.error()};
    if (auto looked = look_at_file(path); !looked) return Error{looked.error()};
    auto lock = LockFile::take(path);
    if (!lock) return Error{lock.error()};
    auto restored = finish_restore(path);
    if (!restored) return Error{restored.error()};
    RecordFound found;
    if (!restored.value().empty()) found.sentences.push_back(restored.value());
    auto opened = open_or_start_anew(path, found);
    if (!opened) return Error{opened.error()};
    if (!opened.value().migrated.empty()) found.sentences.push_back(opened.value().migrated);
    Database& database = opened.value().database;
    auto done = index_what_is_open(database);
    if (done) done = read_counts(database, found);
    if (done) done = close_what_was_open(database);
    if (!done) return Error{fmt::format("{} can't be written: {}", path, done.error())};
    say(path, found);
    return OpenedRecord{std::move(lock.value()), std::move(database), std::move(found)};
}

}  // namespace drumwatch

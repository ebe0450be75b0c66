#include "record/restore.hpp"

#include <fmt/format.h>

#include <chrono>
#include <filesystem>

#include "record/backup.hpp"
#include "record/database.hpp"
#include "record/lock_file.hpp"
#include "record/reader.hpp"
#include "record/verify.hpp"

namespace drumwatch {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kNamed = 20;
constexpr std::size_t kAtOnce = 200;

bool same_roast(const RoastRecord& one, const RoastRecord& other) {
    return one.charged_at.unix_ms == other.charged_at.unix_ms && one.state == other.state &&
           one.charge == other.charge && one.drop == other.drop && one.coffee == other.coffee;
}

Result<Done> compare(RecordReader& backup, RecordReader& record, RestoreLook& look) {
    std::uint64_t before = 0;  // 0: from the newest on
    for (;;) {
        const auto page = record.roasts(kAtOnce, before);
        if (!page) return Error{page.error()};
        if (page.value().empty()) return Done{};
        for (const RoastRecord& roast : page.value()) {
            const auto kept = backup.roast(roast.id);
            if (!kept) return Error{kept.error()};
            if (kept.value() && same_roast(*kept.value(), roast)) continue;
            ++look.lost;
            if (look.lost_roasts.size() < kNamed) look.lost_roasts.push_back(roast.id);
        }
        before = page.value().back().id;
    }
}

/// The main file never moves without its -wal and -shm.
Result<std::string> set_aside(const std::string& record) {
    std::error_code failed;
    if (!fs::exists(record, failed)) return std::string{};
    const auto now = std::chrono::system_clock::now().time_since_epoch();
    const std::string aside = fmt::format("{}.before-restore-{}", record,
                                          std::chrono::duration_cast<std::chrono::seconds>(now).count());
    for (const char* tail : {"-wal", "-shm", ""}) {
        if (!fs::exists(record + tail, failed)) continue;
        fs::rename(record + tail, aside + tail, failed);
        if (failed) return Error{fmt::format("{} can't be set aside: {}", record, failed.message())};
    }
    return aside;
}

}  // namespace

Result<RestoreLook> look_before_restore(const std::string& backup, const std::string& record) {
    const auto found = verify_record(backup);
    if (!found) return Error{found.error()};
    if (!found.value().damage.empty())
        return Error{
            fmt::format("{} is damaged ({}): take another backup", backup, found.value().damage.front())};
    RestoreLook look;
    look.roasts = found.value().roasts;
    std::error_code failed;
    look.record_there = fs::exists(record, failed);
    if (!look.record_there) return look;
    auto kept = RecordReader::open(backup);
    auto present = RecordReader::open(record);
    if (!kept) return Error{kept.error()};
    if (!present) {
        look.record_trouble = present.error();
        return look;
    }
    const auto compared = compare(*kept.value(), *present.value(), look);
    if (!compared) look.record_trouble = compared.error();
    return look;
}

Result<std::string> restore(const std::string& backup_path, const std::string& record) {
    auto lock = LockFile::take(record);
    if (!lock) return Error{lock.error()};
    auto source = Database::open(backup_path, OpenMode::read_only);
    if (!source) return Error{fmt::format("{} can't be opened: {}", backup_path, source.error())};
    const std::string fresh = record + ".restored";
    if (auto copied = backup(source.value(), fresh); !copied) return Error{copied.error()};
    const auto copied_whole = verify_record(fresh);
    if (!copied_whole || !copied_whole.value().damage.empty()) {
        return Error{fmt::format("the copy of {} at {} is not whole: {}", backup_path, fresh,
                                 copied_whole ? copied_whole.value().damage.front() : copied_whole.error())};
    }
    auto aside = set_aside(record);
    if (!aside) return aside;
    if (std::rename(fresh.c_str(), record.c_str()) != 0)
        return Error{
            fmt::format("{} lies ready, but can't be renamed to {}: rename it by hand", fresh, record)};
    if (auto synced = sync_folder_of(record); !synced) return Error{synced.error()};
    return aside;
}

}  // namespace drumwatch

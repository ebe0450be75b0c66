#include "record/restore.hpp"

#include <fmt/format.h>

#include <filesystem>

#include "record/backup.hpp"
#include "record/database.hpp"
#include "record/reader.hpp"
#include "record/restore_steps.hpp"
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
    auto kept = RecordReader::open(backup);
    auto present = RecordReader::open(record_);
    if (!kept) return Error{kept.error()};
    if (!present) {
        look.record_trouble = present.error();
        return look;
    }
    const auto compared = compare(*kept.value(), *present.value(), look);
    if (!compared) look.record_trouble = compared.error();
    return look;
}

Result<std::string> RecordPlace::restore(const std::string& backup_path) const {
    auto source = Database::open(backup_path, OpenMode::read_only);
    if (!source) return Error{fmt::format("{} can't be opened: {}", backup_path, source.error())};
    const std::string fresh = restored_copy(record_);
    if (auto copied = backup(source.value(), fresh); !copied) return Error{copied.error()};
    const auto copied_whole = verify_record(fresh);
    if (!copied_whole || !copied_whole.value().damage.empty()) {
        return Error{fmt::format("the copy of {} at {} is not whole: {}", backup_path, fresh,
                                 copied_whole ? copied_whole.value().damage.front() : copied_whole.error())};
    }
    return put_in_place(record_);
}

}  // namespace drumwatch

#include "record/verify.hpp"

#include <fmt/format.h>

#include <filesystem>

#include "record/database.hpp"
#include "record/reader.hpp"
#include "record/row_writer.hpp"
#include "record/rows.hpp"

namespace drumwatch {
namespace {

constexpr std::size_t kMostSentences = 100;

class Verifying {
  public:
    Verifying(Database& database, VerifyFound& found) : database_(database), found_(found) {}

    void say(std::string sentence) {
        if (found_.damage.size() < kMostSentences) found_.damage.push_back(std::move(sentence));
    }

    /// What SQLite itself finds wrong with the file.
    void integrity() {
        each("PRAGMA integrity_check", [this](Statement& row) {
            if (const std::string text = row.string(0); text != "ok") say("the database: " + text);
        });
        each("PRAGMA foreign_key_check", [this](Statement& row) {
            say(fmt::format("a row of {} belongs to a row of {} that is not there", row.string(0),
                            row.string(2)));
        });
    }

    /// SQLite does not miss unused pages at the end; a copy that was cut short does. With a log beside it the
    /// file may be shorter than the database.
    void length(const std::string& path) {
        std::error_code failed;
        if (std::filesystem::exists(path + "-wal", failed)) return;
        const auto pages = database_.number("PRAGMA page_count");
        const auto page = database_.number("PRAGMA page_size");
        const auto size = std::filesystem::file_size(path, failed);
        if (!pages || !page || failed) return say("the file's length can't be found out");
        const auto needed = static_cast<std::uintmax_t>(pages.value() * page.value());
        if (size < needed) say(fmt::format("the file is cut short: {} bytes of {}", size, needed));
    }

    void frames(std::uint64_t watch) {
        each(
            fmt::format(
                "SELECT from_ms, to_ms, count, layout, crc, body FROM frames WHERE watch={} ORDER BY from_ms",
                watch),
            [&](Statement& row) {
                ++found_.frame_rows;
                const PackedFrames packed = packed_frames(row, 0);
                const auto unpacked = unpack_frames(packed);
                if (!unpacked)
                    say(fmt::format("frames of watch {} from tick {} ms: {}", watch, packed.from_ms,
                                    unpacked.error()));
            });
    }

    void roasts() {
        each("SELECT id, milestones, verdict FROM roasts ORDER BY id", [&](Statement& row) {
            ++found_.roasts;
            const auto milestones = milestones_from_json(row.string(1));
            const auto verdict = verdict_from_json(row.string(2));
            if (!milestones) say(fmt::format("roast {}: {}", row.integer(0), milestones.error()));
            if (!verdict) say(fmt::format("roast {}: {}", row.integer(0), verdict.error()));
        });
    }

    std::vector<std::uint64_t> watches() {
        std::vector<std::uint64_t> ids;
        each("SELECT id, channels FROM watches ORDER BY id", [&](Statement& row) {
            ids.push_back(row.id(0));
            const auto channels = channels_from_json(row.string(1));
            if (!channels) say(fmt::format("watch {}: {}", row.id(0), channels.error()));
        });
        return ids;
    }

  private:
    template <typename Look>
    void each(const std::string& sql, Look look) {
        auto statement = Statement::prepare(database_, sql);
        if (!statement) return say("the database can't be asked: " + statement.error());
        auto row = statement.value().step();
        for (; row && row.value(); row = statement.value().step()) look(statement.value());
        if (!row) say("the database can't be read on: " + row.error());
    }

    Database& database_;
    VerifyFound& found_;
};

}  // namespace

Result<VerifyFound> verify_record(const std::string& path,
                                  const std::function<void(std::uint64_t, std::uint64_t)>& progress) {
    if (auto reader = RecordReader::open(path); !reader) return Error{reader.error()};
    auto database = Database::open(path, OpenMode::read_only);
    if (!database) return Error{database.error()};
    // One moment of the record, however much is written meanwhile.
    if (auto begun = database.value().run("BEGIN"); !begun) return Error{begun.error()};
    VerifyFound found;
    Verifying verifying(database.value(), found);
    verifying.length(path);
    verifying.integrity();
    verifying.roasts();
    const auto watches = verifying.watches();
    found.watches = watches.size();
    for (std::size_t i = 0; i < watches.size(); ++i) {
        verifying.frames(watches[i]);
        if (progress) progress(i + 1, watches.size());
    }
    return found;
}

}  // namespace drumwatch

#include "record/verify.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <limits>

#include "record/database.hpp"
#include "record/file_length.hpp"
#include "record/reader.hpp"
#include "record/row_writer.hpp"
#include "record/rows.hpp"
#include "record/verify_seals.hpp"

namespace drumwatch {
namespace {

constexpr std::size_t kMostSentences = 100;

/// Sentences, cut where there are too many, which is said.
class Sentences {
  public:
    void add(std::string sentence) {
        if (++said_ <= kMostSentences) sentences_.push_back(std::move(sentence));
    }
    std::vector<std::string> end() {
        if (said_ > kMostSentences)
            sentences_.push_back(fmt::format("and {} more like these", said_ - kMostSentences));
        return std::move(sentences_);
    }

  private:
    std::vector<std::string> sentences_;
    std::size_t said_ = 0;
};

class Verifying {
  public:
    Verifying(Database& database, VerifyFound& found) : database_(database), found_(found) {}

    void say(std::string sentence) { damage_.add(std::move(sentence)); }
    void say_changed(std::string sentence) { changed_.add(std::move(sentence)); }

    void finish() {
        found_.damage = damage_.end();
        found_.changed = changed_.end();
    }

    /// What SQLite itself finds wrong with the file.
    void integrity() {
        each("PRAGMA integrity_check", [this](const Statement& row) {
            if (const std::string text = row.string(0); text != "ok") say("the database: " + text);
        });
        each("PRAGMA foreign_key_check", [this](const Statement& row) {
            say(fmt::format("a row of {} belongs to a row of {} that is not there", row.string(0),
                            row.string(2)));
        });
    }

    void length(const std::string& path) {
        if (std::string short_of = cut_short(database_, path); !short_of.empty()) say(std::move(short_of));
    }

    void frames(std::uint64_t watch) {
        std::int64_t reached_ms = std::numeric_limits<std::int64_t>::min();
        each(
            fmt::format(
                "SELECT from_ms, to_ms, count, layout, crc, body FROM frames WHERE watch={} ORDER BY from_ms",
                watch),
            [&](const Statement& row) {
                ++found_.frame_rows;
                const PackedFrames packed = packed_frames(row, 0);
                if (packed.from_ms <= reached_ms)
                    say(fmt::format("frames of watch {} from tick {} ms: they overlap those before them",
                                    watch, packed.from_ms));
                reached_ms = std::max(reached_ms, packed.to_ms);
                const auto unpacked = unpack_frames(packed);
                if (!unpacked)
                    say(fmt::format("frames of watch {} from tick {} ms: {}", watch, packed.from_ms,
                                    unpacked.error()));
            });
    }

    void roasts() {
        each("SELECT id, milestones, verdict FROM roasts ORDER BY id", [&](const Statement& row) {
            ++found_.roasts;
            const auto milestones = milestones_from_json(row.string(1));
            const auto verdict = verdict_from_json(row.string(2));
            if (!milestones) say(fmt::format("roast {}: {}", row.integer(0), milestones.error()));
            if (!verdict) say(fmt::format("roast {}: {}", row.integer(0), verdict.error()));
        });
    }

    std::vector<std::uint64_t> watches() {
        std::vector<std::uint64_t> ids;
        each("SELECT id, channels FROM watches ORDER BY id", [&](const Statement& row) {
            ids.push_back(row.id(0));
            const auto channels = channels_from_json(row.string(1));
            if (!channels) say(fmt::format("watch {}: {}", row.id(0), channels.error()));
        });
        return ids;
    }

  private:
    template <typename Look>
    void each(const std::string& sql, Look look) {
        const auto done = each_row(database_, sql, look);
        if (!done) say("the database can't be read: " + done.error());
    }

    Database& database_;
    VerifyFound& found_;
    Sentences damage_;
    Sentences changed_;
};

}  // namespace

Result<VerifyFound> verify_record(const VerifyOrder& order) {
    if (auto reader = RecordReader::open(order.path); !reader) return Error{reader.error()};
    auto database = Database::open(order.path, OpenMode::read_only);
    if (!database) return Error{database.error()};
    // One moment of the record, however much is written meanwhile.
    if (auto begun = database.value().run("BEGIN"); !begun) return Error{begun.error()};
    VerifyFound found;
    Verifying verifying(database.value(), found);
    verifying.length(order.path);
    verifying.integrity();
    verifying.roasts();
    const auto watches = verifying.watches();
    found.watches = watches.size();
    for (const std::uint64_t watch : watches) verifying.frames(watch);
    if (order.seals)
        verify_seals(database.value(), order, found,
                     [&](std::string sentence) { verifying.say_changed(std::move(sentence)); });
    verifying.finish();
    return found;
}

}  // namespace drumwatch

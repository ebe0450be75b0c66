#include "record/sealed_items.hpp"

#include <fmt/format.h>

#include <map>
#include <optional>

#include "core/frame_text.hpp"
#include "record/row_writer.hpp"
#include "record/upkeep.hpp"

namespace drumwatch {
namespace {

constexpr std::int64_t kMinuteMs = 60'000;

std::int64_t minute_of(std::int64_t ms) {
    return ms >= 0 ? ms / kMinuteMs : -((-ms + kMinuteMs - 1) / kMinuteMs);
}

/// Where a roast stands in the record.
struct Place {
    std::uint64_t watch = 0;
    std::int64_t from_ms = 0;
    std::int64_t to_ms = 0;
    bool withdrawn = false;
};

/// Rows of one table. The first column that is asked for names the row for a person.
struct Question {
    const char* table;
    const char* columns;
    std::string where;
    const char* what;
};

std::vector<Question> questions(std::uint64_t roast, const Place& at) {
    std::vector<Question> all = {
        {"watches", "id, tick_ms, began_at, build, config_hash, begin, channels",
         fmt::format("id={}", at.watch), "the row of watch"},
        {"roasts",
         "id, watch, station, coffee, target_name, target_version, state, charge_ms, drop_ms, charged_at,"
         " milestones, verdict, reasons, moves",
         fmt::format("id={}", roast), "the row of roast"},
        {"targets", "name, version, status, coffee, json, stored_at",
         fmt::format("(name, version) IN (SELECT target_name, target_version FROM roasts WHERE id={})",
                     roast),
         "target"},
        {"events", "id, watch, roast, tick_ms, at_ms, kind, body, text",
         fmt::format("roast={} ORDER BY id", roast), "event"}};
    if (at.withdrawn) return all;
    const std::string meanwhile =
        fmt::format("watch={} AND tick_ms>={} AND tick_ms<={} ORDER BY id", at.watch, at.from_ms, at.to_ms);
    all.push_back(
        {"commands", "id, watch, tick_ms, kind, body, who, client_id, wall_ms", meanwhile, "command"});
    all.push_back({"observations", "id, watch, tick_ms, health, idx, bad", meanwhile, "observation"});
    return all;
}

class Collecting {
  public:
    Collecting(Database& database, std::uint64_t roast) : database_(database), roast_(roast) {}

    Result<std::optional<Place>> place() {
        auto row = Statement::prepare(
            database_,
            fmt::format("SELECT watch, charge_ms-{}, ifnull(drop_ms+{}, charge_ms+{}), state='withdrawn'"
                        " FROM roasts WHERE id={}",
                        kKeptBeforeChargeMs, kKeptAfterDropMs, kKeptWithoutDropMs, roast_));
        if (!row) return Error{row.error()};
        const auto found = row.value().step();
        if (!found) return Error{found.error()};
        if (!found.value()) return std::optional<Place>{};
        return std::optional(Place{row.value().id(0), row.value().integer(1), row.value().integer(2),
                                   row.value().integer(3) != 0});
    }

    /// One item a row.
    Result<Done> rows(const Question& question) {
        return each_row(
            database_,
            fmt::format("SELECT {} FROM {} WHERE {}", question.columns, question.table, question.where),
            [&](const Statement& row) {
                std::string text = fmt::format("{}({}", question.table, row.literal(0));
                for (int i = 1; i < row.columns(); ++i) text += "," + row.literal(i);
                add(fmt::format("{} {}", question.what, row.string(0)), text + ")");
            });
    }

    Result<Done> frames(const Place& place) {
        std::map<std::int64_t, std::string> minutes;
        auto done =
            each_row(database_,
                     fmt::format("SELECT from_ms, to_ms, count, layout, crc, body FROM frames WHERE watch={}"
                                 " AND to_ms>={} AND from_ms<={} ORDER BY from_ms",
                                 place.watch, place.from_ms, place.to_ms),
                     [&](const Statement& row) { take(packed_frames(row, 0), place, minutes); });
        for (const auto& [minute, lines] : minutes)
            add(fmt::format("frames of minute {} (ticks from {} ms)", minute, minute * kMinuteMs),
                fmt::format("frames({},{}){}", place.watch, minute, lines));
        return done;
    }

    /// Since schema version 3: a backup may be older.
    Result<Done> late_facts() {
        const auto there = database_.number("SELECT count(*) FROM sqlite_schema WHERE name='late_facts'");
        if (!there) return Error{there.error()};
        if (there.value() == 0) return Done{};
        return rows({"late_facts", "id, roast, kind, value_milli, who, client_id, given_at",
                     fmt::format("roast={} ORDER BY id", roast_), "late fact"});
    }

    std::vector<SealedItem>& items() { return items_; }

  private:
    static void take(const PackedFrames& packed, const Place& place,
                     std::map<std::int64_t, std::string>& minutes) {
        const auto frames = unpack_frames(packed);
        if (!frames) {
            minutes[minute_of(packed.from_ms)] +=
                fmt::format("\ndamaged({},{},X'{}')", packed.from_ms, packed.count, hex(packed.body));
            return;
        }
        for (const Frame& frame : frames.value()) {
            if (frame.tick.ms < place.from_ms || frame.tick.ms > place.to_ms) continue;
            minutes[minute_of(frame.tick.ms)] += "\n" + frame_text(frame);
        }
    }

    void add(std::string name, const std::string& text) { items_.push_back({std::move(name), sha256(text)}); }

    Database& database_;
    const std::uint64_t roast_;
    std::vector<SealedItem> items_;
};

}  // namespace

Result<std::vector<SealedItem>> sealed_items(Database& database, std::uint64_t roast) {
    Collecting collecting(database, roast);
    const auto place = collecting.place();
    if (!place) return Error{place.error()};
    if (!place.value()) return std::vector<SealedItem>{};
    const Place& at = *place.value();
    for (const Question& question : questions(roast, at)) {
        if (auto done = collecting.rows(question); !done) return Error{done.error()};
    }
    if (auto done = collecting.late_facts(); !done) return Error{done.error()};
    if (!at.withdrawn) {
        if (auto done = collecting.frames(at); !done) return Error{done.error()};
    }
    return std::move(collecting.items());
}

}  // namespace drumwatch

#include "record/reader.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

#include "record/database.hpp"
#include "record/restore_steps.hpp"
#include "record/row_writer.hpp"
#include "record/rows.hpp"
#include "record/schema.hpp"

namespace drumwatch {
namespace {

/// Later versions only added tables, so that an old backup can be read as it is.
constexpr int kOldestRead = 1;
constexpr int kFirstWithLateFacts = 3;
constexpr int kFirstWithCare = 4;
constexpr int kFirstWithProbeLog = 5;

const std::string kRoastColumns =
    "SELECT id, watch, station, coffee, target_name, target_version, state, charge_ms, drop_ms, charged_at, "
    "milestones, verdict, reasons, moves FROM roasts ";
const std::string kEventColumns =
    "SELECT watch, ifnull(roast, 0), tick_ms, at_ms, kind, body, text FROM events ";

Result<RoastRecord> roast_of(const Statement& row) {
    RoastRecord roast;
    roast.id = row.id(0);
    roast.watch = row.id(1);
    roast.station = row.string(2);
    roast.coffee = row.string(3);
    roast.target_name = row.string(4);
    roast.target_version = static_cast<int>(row.integer(5));
    const auto state = roast_state_from_name(row.string(6));
    auto milestones = milestones_from_json(row.string(10));
    auto verdict = verdict_from_json(row.string(11));
    const Error damaged{fmt::format("roast {} can't be read from the record", roast.id)};
    if (!state || !milestones || !verdict) return damaged;
    roast.state = *state;
    roast.charge = {row.integer(7)};
    if (!row.null(8)) roast.drop = Tick{row.integer(8)};
    roast.charged_at = {row.integer(9)};
    roast.milestones = milestones.value();
    roast.verdict = verdict.value();
    roast.reasons = row.string(12);
    roast.moves = row.string(13);
    return roast;
}

Result<LateFactRow> late_fact_of(const Statement& row) {
    const auto kind = late_kind_from_name(row.string(1));
    if (!kind) return Error{fmt::format("a late fact of roast {} can't be read from the record", row.id(0))};
    LateFactRow fact;
    fact.roast = row.id(0);
    fact.kind = *kind;
    if (!row.null(2)) fact.value_milli = row.integer(2);
    fact.who = row.string(3);
    fact.client_id = row.string(4);
    fact.given = {row.integer(5)};
    return fact;
}

Result<WatchRow> watch_of(const Statement& row) {
    WatchRow watch;
    watch.id = row.id(0);
    watch.tick_ms = row.integer(1);
    watch.began = {row.integer(2)};
    watch.build = row.string(3);
    watch.config_hash = row.string(4);
    watch.begin = row.string(5);
    auto channels = channels_from_json(row.string(6));
    if (!channels) return Error{fmt::format("watch {}: {}", watch.id, channels.error())};
    watch.channels = std::move(channels.value());
    return watch;
}

Result<WatchSpan> watch_span_of(const Statement& row) {
    return WatchSpan{row.id(0), {row.integer(1)}, {row.integer(2)}, {row.integer(3)}};
}

Result<EventRow> event_of(const Statement& row) {
    return EventRow{row.id(0),     row.id(1),     row.integer(2), row.integer(3),
                    row.string(4), row.string(5), row.string(6)};
}

Result<CommandRow> command_of(const Statement& row) {
    return CommandRow{row.id(0),     row.integer(1), row.string(2),   row.string(3),
                      row.string(4), row.string(5),  {row.integer(6)}};
}

Result<CareRow> care_of(const Statement& row) {
    return CareRow{row.string(0), row.string(1), row.string(2), {row.integer(3)}, row.id(4)};
}

std::optional<Milli> milli_of(const Statement& row, int column) {
    if (row.null(column)) return std::nullopt;
    return static_cast<Milli>(row.integer(column));
}

Result<ProbeRow> probe_of(const Statement& row) {
    const auto act = probe_act_from_name(row.string(1));
    if (!act) return Error{"the probe log has an entry of unknown kind: " + row.string(1)};
    return ProbeRow{row.string(0),    *act,          row.string(2),    milli_of(row, 3),
                    milli_of(row, 4), row.string(5), row.string(6),    row.string(7),
                    row.string(8),    row.string(9), {row.integer(10)}};
}

Result<MachineUse> use_of(const Statement& row) {
    return MachineUse{row.id(0), row.integer(1), row.id(2), row.integer(3), row.id(4)};
}

Result<ObservationRow> observation_of(const Statement& row) {
    return ObservationRow{row.id(0), row.integer(1), row.string(2), static_cast<int>(row.integer(3)),
                          row.integer(4) != 0};
}

Result<TargetRow> target_of(const Statement& row) {
    return TargetRow{row.string(0), static_cast<int>(row.integer(1)),
                     row.string(2), row.string(3),
                     row.string(4), {row.integer(5)}};
}

class SqlReader final : public RecordReader {
  public:
    SqlReader(Database database, std::int64_t version) : database_(std::move(database)), version_(version) {}

    Result<std::vector<RoastRecord>> roasts(std::size_t limit, std::uint64_t before_id) override {
        return all<RoastRecord>(kRoastColumns + "WHERE ?1=0 OR id<?1 ORDER BY id DESC LIMIT ?2", roast_of,
                                bounded(before_id), bounded(limit));
    }

    Result<std::optional<RoastRecord>> roast(std::uint64_t id) override {
        return first<RoastRecord>(kRoastColumns + "WHERE id=?1", roast_of, bounded(id));
    }

    Result<std::vector<LateFactRow>> late_facts(std::uint64_t roast) override {
        if (version_ < kFirstWithLateFacts) return std::vector<LateFactRow>{};
        return all<LateFactRow>(
            "SELECT roast, kind, value_milli, who, client_id, given_at FROM late_facts WHERE roast=?1 "
            "ORDER BY id",
            late_fact_of, bounded(roast));
    }

    Result<std::vector<CareRow>> newest_care() override {
        if (version_ < kFirstWithCare) return std::vector<CareRow>{};
        return all<CareRow>(
            "SELECT reminder, who, client_id, done_at, after_roast FROM care WHERE id IN (SELECT max(id) "
            "FROM "
            "care GROUP BY reminder)",
            care_of);
    }

    Result<std::vector<ProbeRow>> probe_log() override {
        if (version_ < kFirstWithProbeLog) return std::vector<ProbeRow>{};
        return all<ProbeRow>(
            "SELECT channel, act, method, reads_milli, is_milli, before, after, note, who, client_id, at "
            "FROM "
            "probe_log ORDER BY id",
            probe_of);
    }

    Result<MachineUse> use_after(std::uint64_t roast) override {
        const std::string weighed = version_ < kFirstWithLateFacts
                                        ? "NULL"
                                        : "(SELECT value_milli FROM late_facts WHERE roast=r.id AND "
                                          "kind='charge_kg' ORDER BY id DESC "
                                          "LIMIT 1)";
        auto use = all<MachineUse>(
            fmt::format("SELECT count(*), coalesce(sum(g), 0), coalesce(sum(g IS NULL), 0), "
                        "coalesce(sum(took), 0), coalesce(max(id), ?1) FROM (SELECT r.id, "
                        "coalesce(r.drop_ms - r.charge_ms, 0) AS took, coalesce({}, "
                        "CAST(round(1000 * (SELECT json_extract(json, '$.charge_kg') FROM targets WHERE "
                        "name=r.target_name AND version=r.target_version)) AS INTEGER)) AS g FROM roasts r "
                        "WHERE r.id > ?1 AND r.state NOT IN ('roasting', 'withdrawn'))",
                        weighed),
            use_of, bounded(roast));
        if (!use) return Error{use.error()};
        return use.value().front();
    }

    Result<std::optional<WatchRow>> watch(std::uint64_t id) override {
        return first<WatchRow>(
            "SELECT id, tick_ms, began_at, build, config_hash, begin, channels FROM watches WHERE id=?1",
            watch_of, bounded(id));
    }

    Result<std::vector<WatchSpan>> watch_spans() override {
        // Frames may have gone to make room: then its events tell. A watch of an older build did not say its
        // first tick: it was 0.
        return all<WatchSpan>(
            "SELECT id, began_at, first, max(first, ifnull(end_ms, 0), ifnull((SELECT to_ms FROM frames "
            "WHERE watch=w.id ORDER BY from_ms DESC LIMIT 1), 0), ifnull((SELECT max(tick_ms) FROM events "
            "WHERE "
            "watch=w.id), 0)) FROM (SELECT id, began_at, end_ms, "
            "iif(json_valid(begin), ifnull(json_extract(begin, '$.carried.first_ms'), 0), 0) AS first "
            "FROM watches) AS w ORDER BY id",
            watch_span_of);
    }

    Result<std::vector<Frame>> frames(std::uint64_t watch, Tick from, Tick to) override {
        // Rows don't overlap, so the first that can hold `from` is the last that begins before it.
        auto rows = all<PackedFrames>(
            "SELECT from_ms, to_ms, count, layout, crc, body FROM frames WHERE watch=?1 AND from_ms<=?3 AND "
            "from_ms>="
            "ifnull((SELECT max(from_ms) FROM frames WHERE watch=?1 AND from_ms<=?2), ?2) ORDER BY from_ms",
            [](const Statement& row) -> Result<PackedFrames> { return packed_frames(row, 0); },
            bounded(watch), from.ms, to.ms);
        if (!rows) return Error{rows.error()};
        std::vector<Frame> frames;
        for (const PackedFrames& packed : rows.value()) {
            const auto unpacked = unpack_frames(packed);
            if (!unpacked) continue;
            std::copy_if(unpacked.value().begin(), unpacked.value().end(), std::back_inserter(frames),
                         [&](const Frame& frame) { return frame.tick >= from && frame.tick <= to; });
        }
        return frames;
    }

    Result<std::vector<EventRow>> events(std::uint64_t watch, Tick from, Tick to) override {
        return all<EventRow>(
            kEventColumns + "WHERE watch=?1 AND tick_ms>=?2 AND tick_ms<=?3 ORDER BY tick_ms, id", event_of,
            bounded(watch), from.ms, to.ms);
    }

    Result<std::vector<EventRow>> alarm_events(std::uint64_t watch) override {
        return all<EventRow>(
            kEventColumns + "WHERE watch=?1 AND kind>='alarm' AND kind<'alarn' ORDER BY tick_ms, id",
            event_of, bounded(watch));
    }

    Result<std::vector<EventRow>> events_of_roast(std::uint64_t roast) override {
        return all<EventRow>(kEventColumns + "WHERE roast=?1 ORDER BY watch, tick_ms, id", event_of,
                             bounded(roast));
    }

    Result<std::vector<CommandRow>> commands(std::uint64_t watch) override {
        return all<CommandRow>(
            "SELECT watch, tick_ms, kind, body, who, client_id, wall_ms FROM commands WHERE watch=?1 ORDER "
            "BY id",
            command_of, bounded(watch));
    }

    Result<std::vector<CommandRow>> newest_commands(std::size_t limit) override {
        return all<CommandRow>(
            "SELECT watch, tick_ms, kind, body, who, client_id, wall_ms FROM commands WHERE client_id<>'' "
            "ORDER "
            "BY id DESC LIMIT ?1",
            command_of, bounded(limit));
    }

    Result<std::vector<ObservationRow>> observations(std::uint64_t watch) override {
        return all<ObservationRow>(
            "SELECT watch, tick_ms, health, idx, bad FROM observations WHERE watch=?1 ORDER BY id",
            observation_of, bounded(watch));
    }

    Result<std::vector<TargetRow>> targets() override {
        return all<TargetRow>(
            "SELECT name, version, status, coffee, json, stored_at FROM targets t WHERE version="
            "(SELECT max(version) FROM targets n WHERE n.name=t.name) ORDER BY name",
            target_of);
    }

    Result<std::optional<TargetRow>> target(const std::string& name, int version) override {
        return first<TargetRow>(
            "SELECT name, version, status, coffee, json, stored_at FROM targets WHERE name=?1 AND (?2=0 OR "
            "version=?2)"
            " ORDER BY version DESC LIMIT 1",
            target_of, name, std::int64_t{version});
    }

    Result<std::vector<MarkedRoast>> marked_roasts(const std::string& station, const std::string& coffee,
                                                   std::size_t newest) override {
        auto rows = all<MarkedRoast>(
            "SELECT milestones, target_name, charged_at FROM roasts WHERE station=?1 AND coffee=?2 AND "
            "state='finished'"
            " AND json_extract(milestones, '$.first_crack.source')='mark'"
            " AND json_extract(milestones, '$.first_crack.bean_milli') IS NOT NULL"
            " ORDER BY id DESC LIMIT ?3",
            [](const Statement& row) -> Result<MarkedRoast> {
                auto milestones = milestones_from_json(row.string(0));
                if (!milestones) return Error{milestones.error()};
                return MarkedRoast{milestones.value(), row.string(1), {row.integer(2)}};
            },
            station, coffee, bounded(newest));
        if (rows) std::reverse(rows.value().begin(), rows.value().end());
        return rows;
    }

  private:
    /// SQLite's integers are signed.
    static std::int64_t bounded(std::uint64_t value) {
        return static_cast<std::int64_t>(std::min(value, std::uint64_t{1} << 62));
    }

    template <typename T, typename... Values>
    Result<std::vector<T>> all(const std::string& sql, Result<T> (*row_of)(const Statement&),
                               const Values&... values) {
        auto statement = Statement::prepare(database_, sql);
        if (!statement) return Error{statement.error()};
        (statement.value().add(values), ...);
        std::vector<T> rows;
        auto row = statement.value().step();
        for (; row && row.value(); row = statement.value().step()) {
            auto one = row_of(statement.value());
            if (!one) return Error{one.error()};
            rows.push_back(std::move(one.value()));
        }
        if (!row) return Error{row.error()};
        return rows;
    }

    template <typename T, typename... Values>
    Result<std::optional<T>> first(const std::string& sql, Result<T> (*row_of)(const Statement&),
                                   const Values&... values) {
        auto rows = all<T>(sql, row_of, values...);
        if (!rows) return Error{rows.error()};
        if (rows.value().empty()) return std::optional<T>{};
        return std::optional<T>{std::move(rows.value().front())};
    }

    Database database_;
    const std::int64_t version_;
};

}  // namespace

Result<std::unique_ptr<RecordReader>> RecordReader::open(const std::string& path) {
    std::error_code failed;
    if (restore_is_half_done(path)) {
        return Error{
            fmt::format("a restore of {} was cut off half-way: start the daemon, or restore again", path)};
    }
    if (!std::filesystem::exists(path, failed)) {
        return Error{
            fmt::format("there is no record at {}: start the daemon once, or give the right path", path)};
    }
    auto database = Database::open(path, OpenMode::read_only);
    if (!database) return Error{fmt::format("{} can't be opened: {}", path, database.error())};
    const auto application = database.value().number("PRAGMA application_id");
    const auto version = database.value().number("PRAGMA user_version");
    if (!application || !version) {
        return Error{
            fmt::format("{} can't be read: {}", path, (application ? version : application).error())};
    }
    if (application.value() != kApplicationId)
        return Error{fmt::format("{} is not a record of this program", path)};
    const int known = migrations().back().version;
    if (version.value() < kOldestRead || version.value() > known) {
        return Error{fmt::format(
            "{} has schema version {}, this program reads up to {}: {}", path, version.value(), known,
            version.value() > known ? "use the newer build"
                                    : "start the daemon once, it brings the record forward")};
    }
    return std::unique_ptr<RecordReader>(
        std::make_unique<SqlReader>(std::move(database.value()), version.value()));
}

}  // namespace drumwatch

#include "record/row_writer.hpp"

#include <fmt/format.h>

#include "record/rows.hpp"

namespace drumwatch {
namespace {

enum Which : std::size_t {
    kWatch,
    kWatchEnd,
    kWatchReopened,
    kWatchLabel,
    kEvent,
    kObservation,
    kCommand,
    kRoast,
    kTarget,
    kTargetThere,
    kLateFact,
    kCare,
    kProbe,
    kFrames
};

constexpr const char* kSql[] = {
    "INSERT INTO watches(id, tick_ms, began_at, build, config_hash, begin, channels) VALUES (?,?,?,?,?,?,?)",
    "UPDATE watches SET end_ms=?, ended='clean' WHERE id=? AND ended IS NULL",
    "UPDATE watches SET end_ms=NULL, ended=NULL WHERE id=?",
    "UPDATE watches SET began_at=? WHERE id=?",
    "INSERT INTO events(watch, roast, tick_ms, at_ms, kind, body, text) VALUES (?,?,?,?,?,?,?)",
    "INSERT INTO observations(watch, tick_ms, health, idx, bad) VALUES (?,?,?,?,?)",
    "INSERT INTO commands(watch, tick_ms, kind, body, who, client_id, wall_ms) VALUES (?,?,?,?,?,?,?)"
    " ON CONFLICT(watch, client_id) WHERE client_id <> '' DO NOTHING",
    "INSERT INTO roasts(id, watch, station, coffee, target_name, target_version, state, charge_ms, drop_ms,"
    " charged_at, milestones, verdict, reasons, moves) VALUES "
    "(?1,?2,?3,?4,?5,?6,?7,?8,?9,?10,?11,?12,?13,?14)"
    " ON CONFLICT(id) DO UPDATE SET watch=?2, station=?3, coffee=?4, target_name=?5, target_version=?6, "
    "state=?7,"
    " charge_ms=?8, drop_ms=?9, charged_at=?10, milestones=?11, verdict=?12, reasons=?13, moves=?14",
    "INSERT INTO targets(name, version, status, coffee, json, stored_at) VALUES (?,?,?,?,?,?)"
    " ON CONFLICT DO NOTHING",
    "SELECT json FROM targets WHERE name=? AND version=?",
    "INSERT INTO late_facts(roast, kind, value_milli, who, client_id, given_at) VALUES (?,?,?,?,?,?)"
    " ON CONFLICT(roast, kind, client_id) WHERE client_id <> '' DO NOTHING",
    "INSERT INTO care(reminder, who, client_id, done_at, after_roast) VALUES (?,?,?,?,?)"
    " ON CONFLICT(reminder, client_id) WHERE client_id <> '' DO NOTHING",
    "INSERT INTO probe_log(channel, act, method, reads_milli, is_milli, before, after, note, who, client_id, "
    "at)"
    " VALUES (?,?,?,?,?,?,?,?,?,?,?) ON CONFLICT(channel, act, client_id) WHERE client_id <> '' DO NOTHING",
    "INSERT INTO frames(watch, from_ms, to_ms, count, form, layout, crc, body) VALUES (?,?,?,?,?,?,?,?)",
};

std::optional<std::int64_t> ms_of(const std::optional<Tick>& tick) {
    return tick ? std::optional<std::int64_t>{tick->ms} : std::nullopt;
}

std::optional<std::int64_t> wide(const std::optional<Milli>& milli) {
    return milli ? std::optional<std::int64_t>{*milli} : std::nullopt;
}

}  // namespace

Result<RowWriter> RowWriter::prepare(Database& database) {
    RowWriter writer;
    for (const char* sql : kSql) {
        auto statement = Statement::prepare(database, sql);
        if (!statement) return Error{statement.error()};
        writer.statements_.push_back(std::move(statement.value()));
    }
    return writer;
}

Result<Done> RowWriter::write(const Row& row) {
    notice_.clear();
    return std::visit([this](const auto& one) { return put(one); }, row);
}

Result<Done> RowWriter::write_frames(std::uint64_t watch, const PackedFrames& packed, FrameForm form) {
    // The sum is stored as a signed number of the same 32 bits: SQLite then needs 4 bytes for it, not 6.
    return statements_[kFrames]
        .add(watch)
        .add(packed.from_ms)
        .add(packed.to_ms)
        .add(packed.count)
        .add(static_cast<int>(form))
        .add(packed.layout)
        .add(static_cast<int>(static_cast<std::int32_t>(packed.crc)))
        .add_blob(packed.body)
        .finish();
}

Result<Done> RowWriter::put(const WatchRow& row) {
    return statements_[kWatch]
        .add(row.id)
        .add(row.tick_ms)
        .add(row.began.unix_ms)
        .add(row.build)
        .add(row.config_hash)
        .add(row.begin)
        .add(channels_to_json(row.channels))
        .finish();
}

Result<Done> RowWriter::put(const WatchEnd& row) {
    return statements_[kWatchEnd].add(row.tick_ms).add(row.watch).finish();
}

Result<Done> RowWriter::put(const WatchReopened& row) {
    return statements_[kWatchReopened].add(row.watch).finish();
}

Result<Done> RowWriter::put(const WatchLabel& row) {
    return statements_[kWatchLabel].add(row.began.unix_ms).add(row.watch).finish();
}

Result<Done> RowWriter::put(const EventRow& row) {
    const auto roast = row.roast == 0 ? std::nullopt : std::optional(static_cast<std::int64_t>(row.roast));
    return statements_[kEvent]
        .add(row.watch)
        .add(roast)
        .add(row.tick_ms)
        .add(row.at_ms)
        .add(row.kind)
        .add(row.body)
        .add(row.text)
        .finish();
}

Result<Done> RowWriter::put(const ObservationRow& row) {
    return statements_[kObservation]
        .add(row.watch)
        .add(row.tick_ms)
        .add(row.health)
        .add(row.index)
        .add(row.bad ? 1 : 0)
        .finish();
}

Result<Done> RowWriter::put(const CommandRow& row) {
    return statements_[kCommand]
        .add(row.watch)
        .add(row.tick_ms)
        .add(row.kind)
        .add(row.body)
        .add(row.who)
        .add(row.client_id)
        .add(row.wall.unix_ms)
        .finish();
}

Result<Done> RowWriter::put(const RoastRecord& row) {
    return statements_[kRoast]
        .add(row.id)
        .add(row.watch)
        .add(row.station)
        .add(row.coffee)
        .add(row.target_name)
        .add(row.target_version)
        .add(std::string(name(row.state)))
        .add(row.charge.ms)
        .add(ms_of(row.drop))
        .add(row.charged_at.unix_ms)
        .add(milestones_to_json(row.milestones))
        .add(verdict_to_json(row.verdict))
        .add(row.reasons)
        .add(row.moves)
        .finish();
}

Result<Done> RowWriter::put(const TargetRow& row) {
    auto done = statements_[kTarget]
                    .add(row.name)
                    .add(row.version)
                    .add(row.status)
                    .add(row.coffee)
                    .add(row.json)
                    .add(row.stored.unix_ms)
                    .finish();
    return done ? compare(row) : done;
}

Result<Done> RowWriter::put(const LateFactRow& row) {
    return statements_[kLateFact]
        .add(row.roast)
        .add(std::string(name(row.kind)))
        .add(row.value_milli)
        .add(row.who)
        .add(row.client_id)
        .add(row.given.unix_ms)
        .finish();
}

Result<Done> RowWriter::put(const CareRow& row) {
    return statements_[kCare]
        .add(row.reminder)
        .add(row.who)
        .add(row.client_id)
        .add(row.done.unix_ms)
        .add(row.after_roast)
        .finish();
}

Result<Done> RowWriter::put(const ProbeRow& row) {
    return statements_[kProbe]
        .add(row.channel)
        .add(std::string(name(row.act)))
        .add(row.method)
        .add(wide(row.reads_milli))
        .add(wide(row.is_milli))
        .add(row.before)
        .add(row.after)
        .add(row.note)
        .add(row.who)
        .add(row.client_id)
        .add(row.at.unix_ms)
        .finish();
}

Result<Done> RowWriter::compare(const TargetRow& row) {
    Statement& there = statements_[kTargetThere].add(row.name).add(row.version);
    const auto found = there.step();
    if (found && found.value() && there.string(0) != row.json) {
        notice_ = fmt::format(
            "target {} version {} is already stored with other contents, which were kept: give the "
            "changed one a new version number",
            row.name, row.version);
    }
    there.reset();
    if (!found) return Error{found.error()};
    return Done{};
}

PackedFrames packed_frames(const Statement& row, int first) {
    PackedFrames packed;
    packed.from_ms = row.integer(first);
    packed.to_ms = row.integer(first + 1);
    packed.count = row.integer(first + 2);
    packed.layout = row.integer(first + 3);
    packed.crc = static_cast<std::uint32_t>(row.integer(first + 4));
    packed.body = row.string(first + 5);
    return packed;
}

}  // namespace drumwatch

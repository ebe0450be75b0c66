#include "record/upkeep.hpp"

#include <fmt/format.h>

namespace drumwatch {
namespace {

constexpr std::int64_t kMonthMs = std::int64_t{61} * 12 * 3'600'000;  // 30.5 days
constexpr int kRowsAtOnce = 500;
constexpr std::int64_t kFreePagesKept = 512;
constexpr std::int64_t kFreePagesAtOnce = 256;
constexpr std::int64_t kSecondMs = 1000;

/// A row of frames `f` that touches no roast.
std::string outside_roasts() {
    return fmt::format(
        "NOT EXISTS (SELECT 1 FROM roasts r WHERE r.watch=f.watch AND r.state<>'withdrawn'"
        " AND r.charge_ms-{}<=f.to_ms AND ifnull(r.drop_ms+{}, r.charge_ms+{})>=f.from_ms)",
        kKeptBeforeChargeMs, kKeptAfterDropMs, kKeptWithoutDropMs);
}

std::int64_t second_of(Tick tick) {
    return tick.ms >= 0 ? tick.ms / kSecondMs : -((-tick.ms + kSecondMs - 1) / kSecondMs);
}

Result<std::vector<StoredFrames>> read_rows(Statement& statement) {
    std::vector<StoredFrames> rows;
    auto row = statement.step();
    for (; row && row.value(); row = statement.step()) {
        rows.push_back({statement.id(0), packed_frames(statement, 1)});
    }
    statement.reset();
    if (!row) return Error{row.error()};
    return rows;
}

}  // namespace

std::vector<Frame> thinned(const std::vector<Frame>& frames) {
    std::vector<Frame> kept;
    for (const Frame& frame : frames) {
        if (kept.empty() || second_of(frame.tick) != second_of(kept.back().tick)) kept.push_back(frame);
    }
    return kept;
}

Result<std::int64_t> Upkeep::used_bytes() {
    const auto pages = database_.number("PRAGMA page_count");
    const auto unused = database_.number("PRAGMA freelist_count");
    const auto size = database_.number("PRAGMA page_size");
    for (const auto* read : {&pages, &unused, &size}) {
        if (!*read) return Error{read->error()};
    }
    return (pages.value() - unused.value()) * size.value();
}

Result<bool> Upkeep::repack_one() {
    auto over = Statement::prepare(
        database_,
        fmt::format(
            "SELECT r.id, r.watch, r.charge_ms-{}, ifnull(r.drop_ms+{}, r.charge_ms+{}) AS last FROM roasts r"
            " JOIN watches w ON w.id=r.watch WHERE r.repacked=0 AND r.state<>'roasting' AND"
            " (w.ended IS NOT NULL OR last <= (SELECT max(f.from_ms) FROM frames f WHERE f.watch=r.watch))"
            " ORDER BY r.id LIMIT 1",
            kKeptBeforeChargeMs, kKeptAfterDropMs, kKeptWithoutDropMs));
    if (!over) return Error{over.error()};
    const auto found = over.value().step();
    if (!found) return Error{found.error()};
    if (!found.value()) return false;
    const std::int64_t roast = over.value().integer(0);
    auto rows = rows_of_roast(over.value().id(1), over.value().integer(2), over.value().integer(3));
    over.value().reset();
    if (!rows) return Error{rows.error()};
    auto transaction = Transaction::begin(database_);
    if (!transaction) return Error{transaction.error()};
    if (auto done = replace(rows.value(), FrameForm::repacked); !done) return Error{done.error()};
    if (auto done = database_.run(fmt::format("UPDATE roasts SET repacked=1 WHERE id={}", roast)); !done) {
        return Error{done.error()};
    }
    if (auto done = transaction.value().commit(); !done) return Error{done.error()};
    return true;
}

Result<bool> Upkeep::keep_within(WallTime now) {
    over_budget_ = false;
    if (auto thinner = thin(now); !thinner || thinner.value()) return thinner;
    if (auto made = make_room(); !made || made.value()) return made;
    return give_back();
}

Result<bool> Upkeep::thin(WallTime now) {
    const std::int64_t before = now.unix_ms - settings_.raw_months * kMonthMs;
    auto rows = loose_rows("f.form<2 AND w.began_at<?3 AND w.began_at+f.to_ms<?3", thinned_to_, before);
    if (!rows) return Error{rows.error()};
    if (rows.value().empty()) return false;
    auto transaction = Transaction::begin(database_);
    if (!transaction) return Error{transaction.error()};
    if (auto done = replace(rows.value(), FrameForm::thinned); !done) return Error{done.error()};
    if (auto done = transaction.value().commit(); !done) return Error{done.error()};
    thinned_to_ = {rows.value().back().watch, rows.value().back().packed.to_ms};
    return true;
}

Result<bool> Upkeep::make_room() {
    const auto used = used_bytes();
    if (!used) return Error{used.error()};
    if (used.value() <= settings_.budget_bytes) return false;
    auto rows = loose_rows(
        fmt::format(
            "(w.ended IS NOT NULL OR f.to_ms<(SELECT max(m.from_ms) FROM frames m WHERE m.watch=w.id)-{})",
            kKeptOfOpenWatchMs),
        room_to_, 0);
    if (!rows) return Error{rows.error()};
    over_budget_ = rows.value().empty();
    if (over_budget_) return false;
    auto transaction = Transaction::begin(database_);
    if (!transaction) return Error{transaction.error()};
    for (const StoredFrames& row : rows.value()) {
        if (auto done = remove(row); !done) return Error{done.error()};
    }
    if (auto done = transaction.value().commit(); !done) return Error{done.error()};
    room_to_ = {rows.value().back().watch, rows.value().back().packed.from_ms};
    return true;
}

/// Free pages are used again by what comes; only many of them are given back to the file system.
Result<bool> Upkeep::give_back() {
    const auto unused = database_.number("PRAGMA freelist_count");
    if (!unused) return Error{unused.error()};
    if (unused.value() <= kFreePagesKept) return false;
    auto done = database_.run(fmt::format("PRAGMA incremental_vacuum({})", kFreePagesAtOnce));
    if (!done) return Error{done.error()};
    return true;
}

/// Rows outside roasts, oldest first. Watches stand outside in the join, so that young ones cost nothing.
Result<std::vector<StoredFrames>> Upkeep::loose_rows(const std::string& where, const Position& after,
                                                     std::int64_t old) {
    auto statement = Statement::prepare(
        database_,
        fmt::format(
            "SELECT f.watch, f.from_ms, f.to_ms, f.count, f.layout, f.crc, f.body FROM watches w CROSS JOIN"
            " frames f ON f.watch=w.id WHERE w.id>=?1 AND (w.id>?1 OR f.from_ms>?2) AND {} AND {} AND ?3=?3"
            " ORDER BY w.id, f.from_ms LIMIT {}",
            where, outside_roasts(), kRowsAtOnce));
    if (!statement) return Error{statement.error()};
    return read_rows(statement.value().add(after.watch).add(after.from_ms).add(old));
}

Result<std::vector<StoredFrames>> Upkeep::rows_of_roast(std::uint64_t watch, std::int64_t from,
                                                        std::int64_t to) {
    auto statement =
        Statement::prepare(database_,
                           "SELECT watch, from_ms, to_ms, count, layout, crc, body FROM frames"
                           " WHERE watch=? AND form=0 AND to_ms>=? AND from_ms<=? ORDER BY from_ms");
    if (!statement) return Error{statement.error()};
    return read_rows(statement.value().add(watch).add(from).add(to));
}

/// Does a row lie between two ticks of a watch?
Result<bool> Upkeep::row_between(std::uint64_t watch, std::int64_t after_ms, std::int64_t before_ms) {
    const auto first = database_.number(
        fmt::format("SELECT count(*) FROM (SELECT 1 FROM frames WHERE watch={} AND from_ms>{} AND from_ms<{} "
                    "LIMIT 1)",
                    watch, after_ms, before_ms));
    if (!first) return Error{first.error()};
    return first.value() > 0;
}

/// Rows that can be read are joined and packed anew; a damaged one stays as it is, for whoever may mend it.
/// Never joined across a row that stays: rows must not overlap.
Result<Done> Upkeep::replace(const std::vector<StoredFrames>& old, FrameForm form) {
    std::vector<Frame> run;
    std::uint64_t watch = 0;
    for (const StoredFrames& row : old) {
        auto frames = unpack_frames(row.packed);
        bool joined = frames && row.watch == watch;
        if (joined && !run.empty()) {
            const auto between = row_between(watch, run.back().tick.ms, row.packed.from_ms);
            if (!between) return Error{between.error()};
            joined = !between.value();
        }
        if (!joined) {
            if (auto done = replace_run(watch, run, form); !done) return done;
            run.clear();
            watch = row.watch;
        }
        if (!frames) {
            if (auto kept = keep_damaged(row, form); !kept) return kept;
            continue;
        }
        if (auto removed = remove(row); !removed) return removed;
        run.insert(run.end(), frames.value().begin(), frames.value().end());
    }
    return replace_run(watch, run, form);
}

Result<Done> Upkeep::replace_run(std::uint64_t watch, const std::vector<Frame>& frames, FrameForm form) {
    for (const PackedFrames& packed : pack_rows(form == FrameForm::thinned ? thinned(frames) : frames)) {
        if (auto done = writer_.write_frames(watch, packed, form); !done) return done;
    }
    return Done{};
}

Result<Done> Upkeep::keep_damaged(const StoredFrames& row, FrameForm form) {
    return database_.run(fmt::format("UPDATE frames SET form={} WHERE watch={} AND from_ms={}",
                                     static_cast<int>(form), row.watch, row.packed.from_ms));
}

Result<Done> Upkeep::remove(const StoredFrames& row) {
    return database_.run(
        fmt::format("DELETE FROM frames WHERE watch={} AND from_ms={}", row.watch, row.packed.from_ms));
}

}  // namespace drumwatch

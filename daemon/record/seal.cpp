#include "record/seal.hpp"

#include <fmt/format.h>

#include "record/upkeep.hpp"

namespace drumwatch {
namespace {

constexpr std::size_t kClueBytes = 4;

/// Roasts (as r) whose commands, observations and frames include this tick.
std::string meanwhile(std::uint64_t watch, std::int64_t tick_ms) {
    return fmt::format("watch={0} AND charge_ms-{2}<={1} AND ifnull(drop_ms+{3}, charge_ms+{4})>={1}", watch,
                       tick_ms, kKeptBeforeChargeMs, kKeptAfterDropMs, kKeptWithoutDropMs);
}

std::string facts_of(const std::vector<SealedItem>& items) {
    std::string sums;
    for (const SealedItem& item : items) sums.append(item.digest.begin(), item.digest.end());
    return hex(sha256(sums));
}

}  // namespace

std::string link_of(const Seal& seal, const std::string& after) {
    return hex(sha256(fmt::format("{}\nseals({},{},{},'{}',X'{}')", after, seal.id, seal.roast,
                                  seal.made.unix_ms, seal.facts, hex(seal.clues))));
}

Seal make_seal(std::uint64_t id, std::uint64_t roast, WallTime made, const std::vector<SealedItem>& items,
               const std::string& after) {
    Seal seal{id, roast, made, facts_of(items), {}, {}};
    for (const SealedItem& item : items)
        seal.clues.append(item.digest.begin(), item.digest.begin() + kClueBytes);
    seal.link = link_of(seal, after);
    return seal;
}

Seal seal_from(const Statement& row) {
    return {row.id(0), row.id(1), {row.integer(2)}, row.string(3), row.string(4), row.string(5)};
}

Result<bool> Sealer::seal_next(WallTime now) {
    const auto next = database_.number(
        "SELECT ifnull(min(id), 0) FROM roasts WHERE id > (SELECT ifnull(max(roast), 0) FROM seals)");
    if (!next) return Error{next.error()};
    if (next.value() == 0) return false;
    // The newest watch may be gone on with after a restart, so that its end is no sign.
    const auto over = database_.number(
        fmt::format("SELECT count(*) FROM roasts r WHERE r.id={} AND r.state<>'roasting' AND"
                    " (r.watch < (SELECT max(id) FROM watches) OR ifnull(r.drop_ms+{}, r.charge_ms+{}) <"
                    " (SELECT max(f.from_ms) FROM frames f WHERE f.watch=r.watch))",
                    next.value(), kKeptAfterDropMs, kKeptWithoutDropMs));
    if (!over) return Error{over.error()};
    if (over.value() == 0) return false;
    const auto roast = static_cast<std::uint64_t>(next.value());
    auto transaction = Transaction::begin(database_);
    if (!transaction) return Error{transaction.error()};
    const auto items = sealed_items(database_, roast);
    if (!items) return Error{items.error()};
    if (auto done = append(roast, items.value(), now); !done) return Error{done.error()};
    if (auto done = transaction.value().commit(); !done) return Error{done.error()};
    return true;
}

Result<Done> Sealer::note_where(const std::string& where) {
    return each_row(database_, "SELECT id FROM roasts WHERE " + where,
                    [this](const Statement& row) { noted_.insert(row.id(0)); });
}

Result<Done> Sealer::note(const Row& row) {
    if (const auto* roast = std::get_if<RoastRecord>(&row)) noted_.insert(roast->id);
    if (const auto* event = std::get_if<EventRow>(&row); event && event->roast != 0)
        noted_.insert(event->roast);
    if (const auto* fact = std::get_if<LateFactRow>(&row)) noted_.insert(fact->roast);
    if (const auto* label = std::get_if<WatchLabel>(&row))
        return note_where(fmt::format("watch={}", label->watch));
    if (const auto* command = std::get_if<CommandRow>(&row))
        return note_where(meanwhile(command->watch, command->tick_ms));
    if (const auto* seen = std::get_if<ObservationRow>(&row))
        return note_where(meanwhile(seen->watch, seen->tick_ms));
    return Done{};
}

Result<Done> Sealer::seal_noted(WallTime now) {
    for (const std::uint64_t roast : noted_) {
        if (auto done = seal_again(roast, now); !done) return done;
    }
    noted_.clear();
    return Done{};
}

Result<Done> Sealer::seal_again(std::uint64_t roast, WallTime now) {
    const auto facts =
        database_.text(fmt::format("SELECT facts FROM seals WHERE roast={} ORDER BY id DESC LIMIT 1", roast));
    if (!facts) return Error{facts.error()};
    if (facts.value().empty()) return Done{};
    const auto items = sealed_items(database_, roast);
    if (!items) return Error{items.error()};
    if (facts_of(items.value()) == facts.value()) return Done{};
    return append(roast, items.value(), now);
}

Result<Done> Sealer::append(std::uint64_t roast, const std::vector<SealedItem>& items, WallTime now) {
    const auto last = database_.number("SELECT ifnull(max(id), 0) FROM seals");
    const auto link = database_.text("SELECT link FROM seals ORDER BY id DESC LIMIT 1");
    if (!last) return Error{last.error()};
    if (!link) return Error{link.error()};
    const Seal seal =
        make_seal(static_cast<std::uint64_t>(last.value()) + 1, roast, now, items, link.value());
    auto row = Statement::prepare(
        database_, "INSERT INTO seals(id, roast, made_at, facts, clues, link) VALUES (?,?,?,?,?,?)");
    if (!row) return Error{row.error()};
    return row.value()
        .add(seal.id)
        .add(seal.roast)
        .add(seal.made.unix_ms)
        .add(seal.facts)
        .add_blob(seal.clues)
        .add(seal.link)
        .finish();
}

}  // namespace drumwatch

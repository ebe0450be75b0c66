#include "record/lost_roasts.hpp"

#include <fmt/format.h>

#include <optional>
#include <string>

namespace drumwatch {
namespace {

constexpr std::size_t kNamed = 20;
constexpr int kFacts = 14;  // the column after the row's own

/// All that a row says; "repacked" is how it is stored.
Result<std::string> question(Database& database) {
    const auto sealed = database.number("SELECT count(*) FROM sqlite_master WHERE name='seals'");
    if (!sealed) return Error{sealed.error()};
    return fmt::format(
        "SELECT id, watch, station, coffee, target_name, target_version, state, charge_ms, drop_ms, "
        "charged_at, milestones, verdict, reasons, moves, {} FROM roasts r ",
        sealed.value() > 0 ? "(SELECT facts FROM seals WHERE roast=r.id ORDER BY id DESC LIMIT 1)" : "NULL");
}

struct Known {
    std::string row;
    std::optional<std::string> facts;
};

Known known(const Statement& row) {
    Known found;
    for (int column = 0; column < kFacts; ++column) found.row += row.literal(column) + ",";
    if (!row.null(kFacts)) found.facts = row.string(kFacts);
    return found;
}

bool same(const Known& one, const Known& other) {
    return one.row == other.row && (!one.facts || !other.facts || one.facts == other.facts);
}

}  // namespace

Result<LostRoasts> lost_roasts(Database& record, Database& backup) {
    const auto all = question(record);
    const auto one = question(backup);
    if (!all) return Error{all.error()};
    if (!one) return Error{one.error()};
    auto kept = Statement::prepare(backup, one.value() + "WHERE id=?1");
    if (!kept) return Error{kept.error()};
    LostRoasts lost;
    std::string trouble;
    const auto read = each_row(record, all.value() + "ORDER BY id DESC", [&](const Statement& row) {
        kept.value().reset();
        const auto found = kept.value().add(row.id(0)).step();
        if (!found) trouble = found.error();
        if (found && found.value() && same(known(row), known(kept.value()))) return;
        ++lost.count;
        if (lost.newest.size() < kNamed) lost.newest.push_back(row.id(0));
    });
    if (!read) return Error{read.error()};
    if (!trouble.empty()) return Error{trouble};
    return lost;
}

}  // namespace drumwatch

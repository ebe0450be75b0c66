// Seals: a chain over the roasts that are over, so that a later look (verify.hpp) finds what another hand
// than the daemon's has changed, added or taken away. Table seals, one row a seal, never changed or removed:
//
//   id       1, 2, 3, ... without a hole
//   roast    which it seals; where a roast has several, the last one counts
//   made_at  UTC in ms since 1970, a label
//   facts    SHA-256 of the SHA-256 sums (32 bytes each) of the roast's items (sealed_items.hpp) in order,
//   hex clues    the first 4 bytes of each item's sum, in order: they tell which item it was, and prove
//   nothing link     SHA-256 of this text, hex: the link before it (nothing before the first), a line feed,
//   and
//            seals(id,roast,made_at,'facts',X'clues') as SQL writes these values
//
// A roast is sealed once all that belongs to it is stored: frames beyond 300 s after its drop, or a newer
// watch. A later change by the daemon (a mark moved, a clock that was set) is sealed anew in the same commit.
// The sums are of SHA-256 (FIPS PUB 180-4) and no secret is in them: whoever can write the file can make a
// whole new chain. That shows only against a link that was noted elsewhere, or against a backup.
#pragma once

#include <cstdint>
#include <set>
#include <string>
#include <vector>

#include "core/wall_time.hpp"
#include "record/database.hpp"
#include "record/row_writer.hpp"
#include "record/sealed_items.hpp"

namespace drumwatch {

struct Seal {
    std::uint64_t id = 0;
    std::uint64_t roast = 0;
    WallTime made;
    std::string facts;
    std::string clues;  ///< bytes
    std::string link;
};

/// `after` is the link before it. PURE.
Seal make_seal(std::uint64_t id, std::uint64_t roast, WallTime made, const std::vector<SealedItem>& items,
               const std::string& after);
std::string link_of(const Seal& seal, const std::string& after);
/// Out of a statement whose columns are id, roast, made_at, facts, clues, link.
Seal seal_from(const Statement& row);

/// Thread: the connection's.
class Sealer {
  public:
    explicit Sealer(Database& database) : database_(database) {}

    /// Seals the oldest roast without a seal if it is over, in a transaction of its own. True: one was.
    Result<bool> seal_next(WallTime now);

    /// Notes the roasts that a row which was just written says something about.
    Result<Done> note(const Row& row);
    /// Seals those noted anew that have a seal and are no longer as it says. Within the caller's transaction.
    Result<Done> seal_noted(WallTime now);
    void forget_noted() { noted_.clear(); }

  private:
    Result<Done> note_where(const std::string& where);
    Result<Done> seal_again(std::uint64_t roast, WallTime now);
    Result<Done> append(std::uint64_t roast, const std::vector<SealedItem>& items, WallTime now);

    Database& database_;
    std::set<std::uint64_t> noted_;
};

}  // namespace drumwatch

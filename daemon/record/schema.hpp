// The record's file: an SQLite 3 database (file format: sqlite.org/fileformat2.html) in WAL mode with
// application_id 0x44725763 ("DrWc") and user_version = the schema's version. Written by RowWriter
// (row_writer.hpp) only. Version 4; all tables are STRICT, ticks are ms since their watch began, *_at and
// *_wall are UTC in ms since 1970 and only labels, JSON columns are described in rows.hpp:
//
//   watches       id, tick_ms, began_at, build, config_hash, begin (JSON of the service), channels (JSON),
//                 ended: NULL while open, then 'clean' or 'unclean'; end_ms: tick of its end
//   roasts        id, watch, station, coffee, target_name ('' none), target_version, state (rows.hpp),
//   charge_ms,
//                 drop_ms (NULL: none yet), charged_at, milestones, verdict (JSON or ''), reasons, moves
//                 (JSON of the service), repacked: 1 once its frames are
//   frames        watch, from_ms, to_ms, count, form (0 as written, 1 repacked, 2 thinned to 1 Hz), layout,
//   crc,
//                 body: pack.hpp
//   events        id, watch, roast (NULL: none), tick_ms, at_ms, kind, body (JSON), text
//   commands      id, watch, tick_ms, kind, body (JSON), who, client_id, wall_ms; a client_id that is not
//   empty
//                 stands once in a watch
//   observations  id, watch, tick_ms, health, idx, bad
//   targets       name, version, status, coffee, json, stored_at; a version never changes
//   seals         id, roast, made_at, facts, clues, link: seal.hpp (since version 2)
//   late_facts    id, roast, kind ('charge_kg', 'roasted_kg', 'colour'), value_milli (NULL: taken back), who,
//   client_id,
//                 given_at; the newest of a roast's kind counts; a client_id stands once in both (since
//                 version 3)
//   care          id, reminder (its name in the configuration), who, client_id, done_at, after_roast: the
//                 newest roast that was over by then (since version 4)
#pragma once

#include <cstdint>
#include <span>
#include <string>

#include "record/database.hpp"

namespace drumwatch {

inline constexpr std::int64_t kApplicationId = 0x44725763;

/// One step from version - 1 to version: statements that run in one transaction. An entry once released never
/// changes.
struct Migration {
    int version = 0;
    const char* sql = nullptr;
};

std::span<const Migration> migrations();

/// Brings an open database to the last of `steps`, each in a transaction of its own. An older database is
/// copied aside first, to PATH.version-N. A newer one, or one of another program, is refused. The sentence
/// says what was done; empty when nothing was.
Result<std::string> migrate(Database& database, const std::string& path, std::span<const Migration> steps);

}  // namespace drumwatch

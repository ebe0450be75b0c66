#include "record/schema.hpp"

#include <fmt/format.h>

#include "record/backup.hpp"

namespace drumwatch {
namespace {

constexpr const char* kVersion1 = R"sql(
CREATE TABLE watches(
  id INTEGER PRIMARY KEY,
  tick_ms INTEGER NOT NULL,
  began_at INTEGER NOT NULL,
  build TEXT NOT NULL,
  config_hash TEXT NOT NULL,
  begin TEXT NOT NULL,
  channels TEXT NOT NULL,
  ended TEXT CHECK (ended IN ('clean', 'unclean')),
  end_ms INTEGER
) STRICT;
CREATE TABLE roasts(
  id INTEGER PRIMARY KEY,
  watch INTEGER NOT NULL REFERENCES watches(id),
  station TEXT NOT NULL,
  coffee TEXT NOT NULL,
  target_name TEXT NOT NULL,
  target_version INTEGER NOT NULL,
  state TEXT NOT NULL CHECK (state IN ('roasting', 'finished', 'aborted', 'withdrawn', 'interrupted')),
  charge_ms INTEGER NOT NULL,
  drop_ms INTEGER,
  charged_at INTEGER NOT NULL,
  milestones TEXT NOT NULL,
  verdict TEXT NOT NULL,
  reasons TEXT NOT NULL,
  moves TEXT NOT NULL,
  repacked INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE INDEX roasts_by_watch ON roasts(watch, charge_ms);
CREATE INDEX roasts_by_coffee ON roasts(station, coffee);
CREATE INDEX roasts_to_repack ON roasts(id) WHERE repacked = 0;
CREATE TABLE frames(
  watch INTEGER NOT NULL REFERENCES watches(id),
  from_ms INTEGER NOT NULL,
  to_ms INTEGER NOT NULL,
  count INTEGER NOT NULL,
  form INTEGER NOT NULL,
  layout INTEGER NOT NULL,
  crc INTEGER NOT NULL,
  body BLOB NOT NULL,
  PRIMARY KEY (watch, from_ms)
) STRICT, WITHOUT ROWID;
CREATE TABLE events(
  id INTEGER PRIMARY KEY,
  watch INTEGER NOT NULL REFERENCES watches(id),
  roast INTEGER,
  tick_ms INTEGER NOT NULL,
  at_ms INTEGER NOT NULL,
  kind TEXT NOT NULL,
  body TEXT NOT NULL,
  text TEXT NOT NULL
) STRICT;
CREATE INDEX events_by_watch ON events(watch, tick_ms);
CREATE INDEX events_by_roast ON events(roast) WHERE roast IS NOT NULL;
CREATE TABLE commands(
  id INTEGER PRIMARY KEY,
  watch INTEGER NOT NULL REFERENCES watches(id),
  tick_ms INTEGER NOT NULL,
  kind TEXT NOT NULL,
  body TEXT NOT NULL,
  who TEXT NOT NULL,
  client_id TEXT NOT NULL,
  wall_ms INTEGER NOT NULL
) STRICT;
CREATE INDEX commands_by_watch ON commands(watch, tick_ms);
CREATE UNIQUE INDEX commands_once ON commands(watch, client_id) WHERE client_id <> '';
CREATE TABLE observations(
  id INTEGER PRIMARY KEY,
  watch INTEGER NOT NULL REFERENCES watches(id),
  tick_ms INTEGER NOT NULL,
  health TEXT NOT NULL,
  idx INTEGER NOT NULL,
  bad INTEGER NOT NULL CHECK (bad IN (0, 1))
) STRICT;
CREATE INDEX observations_by_watch ON observations(watch, tick_ms);
CREATE TABLE targets(
  name TEXT NOT NULL,
  version INTEGER NOT NULL,
  status TEXT NOT NULL,
  coffee TEXT NOT NULL,
  json TEXT NOT NULL,
  stored_at INTEGER NOT NULL,
  PRIMARY KEY (name, version)
) STRICT, WITHOUT ROWID;
)sql";

constexpr const char* kVersion2 = R"sql(
CREATE TABLE seals(
  id INTEGER PRIMARY KEY,
  roast INTEGER NOT NULL REFERENCES roasts(id),
  made_at INTEGER NOT NULL,
  facts TEXT NOT NULL,
  clues BLOB NOT NULL,
  link TEXT NOT NULL
) STRICT;
CREATE INDEX seals_by_roast ON seals(roast);
)sql";

constexpr const char* kVersion3 = R"sql(
CREATE TABLE late_facts(
  id INTEGER PRIMARY KEY,
  roast INTEGER NOT NULL REFERENCES roasts(id),
  kind TEXT NOT NULL CHECK (kind IN ('charge_kg', 'roasted_kg', 'colour')),
  value_milli INTEGER,
  who TEXT NOT NULL,
  client_id TEXT NOT NULL,
  given_at INTEGER NOT NULL
) STRICT;
CREATE INDEX late_facts_by_roast ON late_facts(roast, kind);
CREATE UNIQUE INDEX late_facts_once ON late_facts(roast, kind, client_id) WHERE client_id <> '';
)sql";

constexpr const char* kVersion4 = R"sql(
CREATE TABLE care(
  id INTEGER PRIMARY KEY,
  reminder TEXT NOT NULL,
  who TEXT NOT NULL,
  client_id TEXT NOT NULL,
  done_at INTEGER NOT NULL,
  after_roast INTEGER NOT NULL
) STRICT;
CREATE INDEX care_by_reminder ON care(reminder);
CREATE UNIQUE INDEX care_once ON care(reminder, client_id) WHERE client_id <> '';
)sql";

constexpr const char* kVersion5 = R"sql(
CREATE TABLE probe_log(
  id INTEGER PRIMARY KEY,
  channel TEXT NOT NULL,
  act TEXT NOT NULL CHECK (act IN ('checked', 'calibrated', 'wiped', 'moved', 'replaced', 'target_confirmed')),
  method TEXT NOT NULL,
  reads_milli INTEGER,
  is_milli INTEGER,
  before TEXT NOT NULL,
  after TEXT NOT NULL,
  note TEXT NOT NULL,
  who TEXT NOT NULL,
  client_id TEXT NOT NULL,
  at INTEGER NOT NULL
) STRICT;
CREATE INDEX probe_log_by_channel ON probe_log(channel, act);
CREATE UNIQUE INDEX probe_log_once ON probe_log(channel, act, client_id) WHERE client_id <> '';
)sql";

constexpr Migration kMigrations[] = {
    {1, kVersion1}, {2, kVersion2}, {3, kVersion3}, {4, kVersion4}, {5, kVersion5}};

Result<Done> run_step(Database& database, const Migration& step) {
    auto transaction = Transaction::begin(database);
    if (!transaction) return Error{transaction.error()};
    const std::string sql = fmt::format("{}; PRAGMA user_version={}; PRAGMA application_id={}", step.sql,
                                        step.version, kApplicationId);
    if (auto done = database.run(sql); !done) return done;
    return transaction.value().commit();
}

/// Empty, or why this database is not one that these steps can bring forward.
std::string refusal(const std::string& path, std::int64_t application, std::int64_t version,
                    std::int64_t tables, int newest) {
    const bool ours = application == kApplicationId;
    if (!ours && (application != 0 || version != 0 || tables != 0)) {
        return fmt::format("{} is a database of another program: give the record a path of its own", path);
    }
    if (version > newest) {
        return fmt::format(
            "{} was written by a newer build (schema version {}, this build knows up to {}): run the newer "
            "build, or "
            "give the record another path",
            path, version, newest);
    }
    return {};
}

}  // namespace

std::span<const Migration> migrations() { return kMigrations; }

Result<std::string> migrate(Database& database, const std::string& path, std::span<const Migration> steps) {
    const auto application = database.number("PRAGMA application_id");
    const auto version = database.number("PRAGMA user_version");
    const auto tables = database.number("SELECT count(*) FROM sqlite_schema");
    for (const auto* read : {&application, &version, &tables}) {
        if (!*read) return Error{read->error()};
    }
    const int newest = steps.back().version;
    std::string why_not = refusal(path, application.value(), version.value(), tables.value(), newest);
    if (!why_not.empty()) return Error{std::move(why_not)};
    if (version.value() == newest) return std::string{};
    std::string sentence = fmt::format("made a new record in {}", path);
    if (version.value() > 0) {
        const std::string copy = fmt::format("{}.version-{}", path, version.value());
        if (auto copied = backup(database, copy); !copied) return Error{copied.error()};
        sentence = fmt::format("brought {} from schema version {} to {}; the file as it was is {}", path,
                               version.value(), newest, copy);
    }
    for (const Migration& step : steps) {
        if (step.version <= version.value()) continue;
        if (auto done = run_step(database, step); !done) {
            return Error{fmt::format("{} can't be brought to schema version {} ({}): it is unchanged", path,
                                     step.version, done.error())};
        }
    }
    return sentence;
}

}  // namespace drumwatch

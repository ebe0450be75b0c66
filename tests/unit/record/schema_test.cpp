#include "record/schema.hpp"

#include <doctest/doctest.h>

#include <array>
#include <filesystem>

#include "support/temp_dir.hpp"

namespace drumwatch {
namespace {

constexpr std::array<Migration, 2> kTwoSteps{
    {{1, "CREATE TABLE lots(id INTEGER PRIMARY KEY, name TEXT NOT NULL) STRICT"},
     {2, "ALTER TABLE lots ADD COLUMN bags INTEGER NOT NULL DEFAULT 0"}}};
constexpr std::span<const Migration> kFirstStep(kTwoSteps.data(), 1);

Database opened(const std::string& path) {
    auto database = Database::open(path, OpenMode::create);
    REQUIRE_MESSAGE(database.ok(), database.error());
    return std::move(database.value());
}

}  // namespace

TEST_CASE("a new file gets the schema, and nothing the second time") {
    const TempDir folder;
    Database database = opened(folder.file("r.db"));
    auto done = migrate(database, folder.file("r.db"), migrations());
    REQUIRE_MESSAGE(done.ok(), done.error());
    CHECK(done.value().find("new record") != std::string::npos);
    CHECK(database.number("PRAGMA user_version").value() == 5);
    CHECK(database.number("PRAGMA application_id").value() == 0x44725763);
    CHECK(database.number("SELECT count(*) FROM sqlite_schema WHERE type='table' AND sql NOT LIKE '%STRICT%'")
              .value() == 0);
    done = migrate(database, folder.file("r.db"), migrations());
    REQUIRE(done.ok());
    CHECK(done.value().empty());
}

TEST_CASE("an older database is copied aside, then brought forward with its rows") {
    const TempDir folder;
    const std::string path = folder.file("r.db");
    Database database = opened(path);
    REQUIRE(database.run("PRAGMA journal_mode=WAL").ok());
    REQUIRE(migrate(database, path, kFirstStep).ok());
    REQUIRE(database.run("INSERT INTO lots(name) VALUES ('Fen Meadow, washed')").ok());
    const auto done = migrate(database, path, kTwoSteps);
    REQUIRE_MESSAGE(done.ok(), done.error());
    CHECK(done.value().find(path + ".version-1") != std::string::npos);
    CHECK(database.number("PRAGMA user_version").value() == 2);
    CHECK(database.number("SELECT count(*) FROM lots WHERE bags=0").value() == 1);

    Database copy = opened(path + ".version-1");
    CHECK(copy.number("PRAGMA user_version").value() == 1);
    CHECK(copy.number("SELECT count(*) FROM lots").value() == 1);
    CHECK(!std::filesystem::exists(path + ".version-1.part"));
    CHECK(!std::filesystem::exists(path + ".version-1-wal"));
}

TEST_CASE("a step that fails leaves the database as it was") {
    const TempDir folder;
    const std::string path = folder.file("r.db");
    Database database = opened(path);
    REQUIRE(migrate(database, path, kFirstStep).ok());
    const std::array<Migration, 2> bad{
        {kTwoSteps[0],
         {2, "CREATE TABLE bags(id INTEGER PRIMARY KEY) STRICT; INSERT INTO nowhere VALUES (1)"}}};
    const auto done = migrate(database, path, bad);
    CHECK(!done.ok());
    CHECK(done.error().find("unchanged") != std::string::npos);
    CHECK(database.number("PRAGMA user_version").value() == 1);
    CHECK(database.number("SELECT count(*) FROM sqlite_schema WHERE name='bags'").value() == 0);
}

TEST_CASE("where no copy can be put aside nothing is migrated") {
    const TempDir folder;
    const std::string path = folder.file("r.db");
    Database database = opened(path);
    REQUIRE(migrate(database, path, kFirstStep).ok());
    std::filesystem::create_directories(path + ".version-1/in the way");
    const auto done = migrate(database, path, kTwoSteps);
    CHECK(!done.ok());
    CHECK(database.number("PRAGMA user_version").value() == 1);
}

TEST_CASE("a newer database and one of another program are refused unchanged") {
    const TempDir folder;
    Database newer = opened(folder.file("newer.db"));
    REQUIRE(migrate(newer, folder.file("newer.db"), migrations()).ok());
    REQUIRE(newer.run("PRAGMA user_version=99").ok());
    auto done = migrate(newer, folder.file("newer.db"), migrations());
    CHECK(!done.ok());
    CHECK(done.error().find("newer build (schema version 99") != std::string::npos);
    CHECK(newer.number("PRAGMA user_version").value() == 99);

    Database other = opened(folder.file("other.db"));
    REQUIRE(other.run("CREATE TABLE recipes(id)").ok());
    done = migrate(other, folder.file("other.db"), migrations());
    CHECK(!done.ok());
    CHECK(done.error().find("another program") != std::string::npos);
    CHECK(other.number("SELECT count(*) FROM sqlite_schema").value() == 1);
}

}  // namespace drumwatch

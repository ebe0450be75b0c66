// Seals: when they are made, that what the daemon itself changes is sealed anew in the same commit, and what
// verify says of what another hand did. The sums themselves: tests/reference/record/.
#include "record/seal.hpp"

#include <doctest/doctest.h>
#include <sqlite3.h>

#include <fstream>
#include <iterator>

#include "record/backup_folder.hpp"
#include "record/batch_writer.hpp"
#include "record/reader.hpp"
#include "record/restore.hpp"
#include "record/verify.hpp"
#include "support/sample_record.hpp"
#include "support/temp_dir.hpp"
#include "unit/record/stored.hpp"

namespace drumwatch {
namespace {

std::string joined(const std::vector<std::string>& sentences) {
    std::string text;
    for (const std::string& sentence : sentences) text += sentence + "\n";
    return text;
}

/// A record that is written as the recorder thread does it, upkeep included.
class Written {
  public:
    explicit Written(std::string path) : path_(std::move(path)) {
        auto opened = open_record(path_);
        REQUIRE_MESSAGE(opened.ok(), opened.error());
        RecorderSettings settings;
        settings.path = path_;
        auto writer = BatchWriter::make(std::move(opened.value()), settings);
        REQUIRE_MESSAGE(writer.ok(), writer.error());
        writer_ = std::move(writer.value());
    }

    /// Watch and roast `id`: charge at 70 s, drop at 190 s, frames for so many seconds.
    void roast(std::uint64_t id, std::int64_t seconds) {
        CommitGroup group;
        group.rows = {sample_watch(id),
                      sample_roast_row(id, id, 70'000, 120),
                      sample_event(id, id, 80'000),
                      sample_event(id, id, 90'000),
                      sample_command(id, 90'000, "a"),
                      ObservationRow{id, 91'000, "disk_low", 0, true}};
        for (const Frame& frame : sample_roast(id, 0, seconds)) group.frames.push_back({id, frame});
        commit(group);
    }

    void commit(const CommitGroup& group) {
        const Outcome outcome = writer_->commit(group);
        REQUIRE_MESSAGE(outcome.written, outcome.complaint);
        CHECK_MESSAGE(outcome.notice.empty(), outcome.notice);
    }
    void commit(Row row) {
        CommitGroup group;
        group.rows.push_back(std::move(row));
        commit(group);
    }

    void upkeep() {
        std::string notice;
        while (writer_->upkeep(true, notice)) {
        }
        CHECK_MESSAGE(notice.empty(), notice);
    }

    VerifyFound verified(const std::string& noted = {}) const {
        const auto found = verify_record({path_, noted, {}});
        REQUIRE_MESSAGE(found.ok(), found.error());
        return found.value();
    }

  private:
    std::string path_;
    std::unique_ptr<BatchWriter> writer_;
};

std::string bytes_of(const std::string& path) {
    std::ifstream file(path, std::ios::binary);
    return std::string(std::istreambuf_iterator<char>(file), {});
}

/// What another hand does to the file, and what verify then says.
std::string said_after(const std::string& path, const std::string& sql, const std::string& noted = {}) {
    {
        auto database = Database::open(path, OpenMode::read_write);
        REQUIRE(database.ok());
        const auto done = database.value().run("PRAGMA foreign_keys=OFF; " + sql);
        REQUIRE_MESSAGE(done.ok(), done.error());
        REQUIRE(database.value().changes() > 0);
    }
    const auto found = verify_record({path, noted, {}});
    REQUIRE_MESSAGE(found.ok(), found.error());
    return joined(found.value().damage) + joined(found.value().changed);
}

/// All that verify says.
std::string said(const VerifyFound& found) { return joined(found.damage) + joined(found.changed); }

LateFactRow fact(std::uint64_t roast, LateKind kind, std::optional<std::int64_t> value_milli,
                 const std::string& client_id) {
    return {roast, kind, value_milli, "Ada", client_id, {1'780'000'100'000}};
}

bool has(const std::string& text, const std::string& part) { return text.find(part) != std::string::npos; }

}  // namespace

TEST_CASE("a roast is sealed once everything of it is stored, and not while its watch may be gone on with") {
    const TempDir folder;
    Written record(folder.file("r.sqlite"));
    record.roast(1, 480);  // the drop was at 190 s, its last frames at 490 s
    record.commit(WatchEnd{1, 480'000});
    record.upkeep();
    CHECK(record.verified().seals == 0);
    CHECK(record.verified().unsealed == 1);
    record.commit(WatchReopened{1});
    CommitGroup more;
    for (const Frame& frame : sample_roast(1, 480'000, 40)) more.frames.push_back({1, frame});
    record.commit(more);
    record.upkeep();
    CHECK(record.verified().seals == 1);
    CHECK(record.verified().good());

    record.roast(2, 250);
    record.upkeep();
    CHECK(record.verified().seals == 1);
    record.commit(WatchEnd{2, 250'000});
    record.commit(sample_watch(3));
    record.upkeep();
    CHECK(record.verified().seals == 2);
    CHECK(record.verified().unsealed == 0);
    CHECK(said(record.verified()) == "");
}

TEST_CASE(
    "packing a roast anew changes no seal, and what the daemon changes is sealed anew in the same commit") {
    const TempDir folder;
    Written record(folder.file("r.sqlite"));
    record.roast(1, 600);
    record.roast(2, 600);
    record.upkeep();
    std::uint64_t seals = 2;
    CHECK(record.verified().seals == seals);
    // A verdict that late facts change, an event, a clock that was set, a roast that was none.
    RoastRecord roast = sample_roast_row(1, 1, 70'000, 120);
    roast.verdict->disposition = Disposition::hold;
    RoastRecord none = roast;
    none.state = RoastState::withdrawn;
    const Row changes[] = {roast,
                           sample_event(1, 1, 700'000),
                           sample_command(1, 95'000, "late"),
                           ObservationRow{1, 96'000, "disk_low", 0, false},
                           WatchLabel{1, {1'780'000'555'000}},
                           none};
    for (const Row& change : changes) {
        record.commit(change);
        CHECK(record.verified().seals == ++seals);
        CHECK(said(record.verified()) == "");
    }
    // The same again changes nothing, nor does what belongs to no roast.
    record.commit(none);
    record.commit(sample_event(1, 0, 100'000));
    record.commit(sample_command(2, 595'000, "later"));
    CHECK(record.verified().seals == seals);
    record.upkeep();
    CHECK(said(record.verified()) == "");
}

TEST_CASE("verify names what another hand has changed, added or taken away") {
    const TempDir folder;
    const std::string path = folder.file("r.sqlite");
    std::string first_link;
    {
        Written record(path);
        record.commit(TargetRow{"fen-meadow-filter", 3, "approved", "Fen Meadow", "{}", {1}});
        for (std::uint64_t id = 1; id <= 4; ++id) {
            record.roast(id, 600);
            record.upkeep();
            if (id == 1) first_link = record.verified().newest_link;
        }
        record.commit(sample_event(2, 2, 590'000));
    }
    const std::string good = bytes_of(path);
    const auto said = [&](const std::string& sql, const std::string& noted = {}) {
        for (const char* tail : {"-wal", "-shm"}) std::remove((path + tail).c_str());
        std::ofstream(path, std::ios::binary) << good;
        return said_after(path, sql, noted);
    };
    CHECK(has(said("UPDATE roasts SET verdict=replace(verdict, 'taste', 'clear') WHERE id=2"),
              "roast 2 is not as it was sealed"));
    CHECK(has(said("UPDATE roasts SET verdict=replace(verdict, 'taste', 'clear') WHERE id=2"),
              "changed: the row of roast 2\n"));
    CHECK(has(said("UPDATE roasts SET coffee='Mill Reach' WHERE id=3"),
              "(seal 3): changed: the row of roast 3\n"));
    CHECK(has(said("UPDATE events SET tick_ms=tick_ms+1 WHERE id=5"), "roast 3 is not as it was sealed"));
    CHECK(has(said("UPDATE events SET tick_ms=tick_ms+1 WHERE id=5"), "changed: event 5\n"));
    CHECK(has(said("DELETE FROM events WHERE id=5"), "1 of its rows taken away"));
    CHECK(has(said("INSERT INTO events(watch, roast, tick_ms, at_ms, kind, body, text) VALUES "
                   "(3,3,1,1,'a','b','c')"),
              "added: event 10\n"));
    CHECK(has(said("UPDATE commands SET who='somebody' WHERE watch=4"), "changed: command 4\n"));
    CHECK(has(said("UPDATE observations SET bad=0 WHERE watch=4"), "changed: observation 4\n"));
    CHECK(has(said("UPDATE targets SET json='[]'"), "changed: target fen-meadow-filter\n"));
    CHECK(has(said("UPDATE watches SET build='another' WHERE id=1"), "roast 1 is not as it was sealed"));
    CHECK(has(said("DELETE FROM frames WHERE watch=2 AND from_ms>60000 AND from_ms<120000"),
              "frames of minute 1 (ticks from 60000 ms)"));
    CHECK(has(said("DELETE FROM roasts WHERE id=4"), "roast 4 was taken away"));
    // A roast from nowhere, between those that are sealed.
    CHECK(has(said("DELETE FROM seals WHERE roast=3"), "roast 3 has no seal, but later ones have"));
    CHECK(has(said("DELETE FROM seals WHERE roast=3"), "seal 3 was taken away"));
    CHECK(has(said("UPDATE seals SET facts=replace(facts, '0', '1') WHERE id=2"),
              "seal 2, of roast 2, was changed"));
    CHECK(has(said("UPDATE seals SET clues=zeroblob(4) WHERE id=2"), "seal 2, of roast 2, was changed"));
    CHECK(has(said("UPDATE seals SET made_at=0 WHERE id=1"), "seal 1, of roast 1, was changed"));
    // A chain made anew over changed rows shows against a link that was noted.
    const std::string anew = "UPDATE roasts SET coffee='Mill Reach' WHERE id=1; DELETE FROM seals";
    CHECK(said(anew) == "");
    CHECK(has(said(anew, first_link.substr(0, 16)), "no seal has the link that was noted"));
    CHECK(said("UPDATE roasts SET repacked=repacked", first_link.substr(0, 16)) == "");
}

TEST_CASE("a long list of damage is cut, and says how much more there is") {
    const TempDir folder;
    const std::string path = folder.file("r.sqlite");
    {
        Written record(path);
        for (std::uint64_t id = 1; id <= 130; ++id) record.roast(id, 20);
    }
    const std::string text = said_after(path, "UPDATE roasts SET milestones='{'");
    CHECK(has(text, "and 30 more like these"));
}

TEST_CASE("a record that another hand has changed is still backed up, and a restore says so first") {
    const TempDir folder;
    const std::string record = folder.file("record.sqlite");
    {
        Written written(record);
        for (std::uint64_t id = 1; id <= 3; ++id) written.roast(id, 600);
        written.upkeep();
    }
    CHECK(
        has(said_after(record, "UPDATE roasts SET coffee='Another' WHERE id=1"), "roast 1 is not as it was"));
    const auto found = verify_record(record);
    REQUIRE(found.ok());
    CHECK(found.value().damage.empty());
    CHECK(found.value().changed.size() == 1);
    CHECK(verify_copy(record).value().good());
    const auto backup = make_backup({record, folder.path(), 14, true}, {1'780'000'000'000});
    REQUIRE_MESSAGE(backup.ok(), backup.error());
    const auto place = RecordPlace::take(folder.file("new.sqlite"));
    REQUIRE(place.ok());
    const auto look = place.value().look(backup.value().path);
    REQUIRE_MESSAGE(look.ok(), look.error());
    REQUIRE(look.value().changed.size() == 1);
    CHECK(look.value().changed[0].find("roast 1 is not as it was sealed") == 0);
}

// What is in stored/: recorder and sample rows, four watches with a roast each: finished, withdrawn, aborted,
// interrupted; each written by the last build of its schema version.
TEST_CASE("a record of schema version 1 is read as it is, brought forward after a copy, and sealed") {
    const TempDir folder;
    const std::string path = folder.file("r.sqlite");
    const std::size_t size = unpack_stored("version-1.sqlite.gz", path);
    const auto before = verify_record(path);
    REQUIRE_MESSAGE(before.ok(), before.error());
    CHECK(joined(before.value().damage) == "");
    CHECK(before.value().unsealed == 4);
    REQUIRE(RecordPlace::take(folder.file("restored.sqlite")).value().restore(path).ok());
    {
        Written record(path);
        record.commit(sample_watch(5));
        record.upkeep();
        CHECK(record.verified().seals == 4);
        CHECK(said(record.verified()) == "");
    }
    CHECK(bytes_of(path + ".version-1").size() >= size);
    const auto reader = RecordReader::open(path);
    REQUIRE_MESSAGE(reader.ok(), reader.error());
    const RoastRecord first = reader.value()->roast(1).value().value();
    const RoastRecord expected = sample_roast_row(1, 1, 20'000, 100);
    CHECK(first.coffee == expected.coffee);
    CHECK(first.drop->ms == expected.drop->ms);
    CHECK(first.verdict->disposition == expected.verdict->disposition);
    CHECK(first.milestones[0]->at.ms == 20'000);
    CHECK(same_frames(reader.value()->frames(1, {0}, {460'000}).value(), sample_roast(1, 0, 460)));
    CHECK(reader.value()->events_of_roast(3).value().size() == 5);
}

TEST_CASE("a record of schema version 2 keeps its seals, and late facts join them") {
    const TempDir folder;
    const std::string path = folder.file("r.sqlite");
    unpack_stored("version-2.sqlite.gz", path);
    {
        const auto old = RecordReader::open(path);
        REQUIRE_MESSAGE(old.ok(), old.error());
        CHECK(old.value()->late_facts(1).value().empty());
        CHECK(said(verify_record(path).value()) == "");
    }
    Written record(path);
    CHECK(record.verified().seals == 3);
    CHECK(said(record.verified()) == "");
    record.commit(fact(1, LateKind::roasted_kg, 10'260, "a"));
    record.commit(fact(1, LateKind::roasted_kg, 10'280, "b"));
    record.commit(fact(1, LateKind::roasted_kg, 10'260, "a"));  // sent again
    record.commit(fact(1, LateKind::colour, std::nullopt, "a"));
    CHECK(record.verified().seals == 6);
    CHECK(said(record.verified()) == "");
    const auto facts = RecordReader::open(path).value()->late_facts(1).value();
    REQUIRE(facts.size() == 3);
    CHECK(facts[0].kind == LateKind::roasted_kg);
    CHECK(facts[0].value_milli == 10'260);
    CHECK(facts[1].value_milli == 10'280);
    CHECK(facts[1].who == "Ada");
    CHECK(facts[2].kind == LateKind::colour);
    CHECK_FALSE(facts[2].value_milli);
    CHECK(has(said_after(path, "UPDATE late_facts SET value_milli=10300 WHERE id=2"), "late fact 2"));
}

TEST_CASE(
    "a record of schema version 3 keeps its late facts and seals, and what is done of a reminder joins "
    "them") {
    const TempDir folder;
    const std::string path = folder.file("r.sqlite");
    unpack_stored("version-3.sqlite.gz", path);
    {
        const auto old = RecordReader::open(path);
        REQUIRE_MESSAGE(old.ok(), old.error());
        CHECK(old.value()->newest_care().value().empty());
        CHECK(old.value()->late_facts(1).value().size() == 3);
        const MachineUse use = old.value()->use_after(0).value();
        CHECK(use.batches == 3);  // finished, given up, broken off: not the withdrawn one
        CHECK(use.newest_over == 4);
    }
    const auto seals = verify_record(path).value().seals;
    Written record(path);
    CHECK(record.verified().seals == seals);
    CHECK(said(record.verified()) == "");
    CareRow care{"empty the chaff bin", "Ada", "a", {1'700'000'000'000}, 3};
    record.commit(care);
    record.commit(care);  // sent again
    const auto reader = RecordReader::open(path);
    const auto back = reader.value()->newest_care().value();
    REQUIRE(back.size() == 1);
    CHECK(back[0].who == "Ada");
    CHECK(back[0].after_roast == 3);
    CHECK(back[0].done.unix_ms == 1'700'000'000'000);
    CHECK(reader.value()->late_facts(1).value().size() == 3);
    CHECK(said(record.verified()) == "");
}

}  // namespace drumwatch

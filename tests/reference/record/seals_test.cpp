// Seals against sums from outside: the published examples of SHA-256, and a whole chain made anew by Python's
// hashlib and sqlite3 from a record that it unpacks by itself.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <chrono>
#include <string>

#include "record/batch_writer.hpp"
#include "record/seal.hpp"
#include "record/sha256.hpp"
#include "support/child_process.hpp"
#include "support/sample_record.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {
namespace {

/// A batch that ended 320 s ago, with holes, unequal steps and every quality among its frames.
CommitGroup varied_roast(std::uint64_t id) {
    CommitGroup group;
    group.rows.push_back(sample_watch(id));
    RoastRecord roast = sample_roast_row(id, id, 70'000, 120);
    roast.coffee = "Fen's \"Meadow\", è";
    if (id == 2) roast.drop.reset();
    group.rows.push_back(roast);
    group.rows.push_back(sample_event(id, id, 80'000));
    group.rows.push_back(sample_event(id, 0, 81'000));
    group.rows.push_back(sample_command(id, 90'000, ""));
    group.rows.push_back(ObservationRow{id, 91'000, "disk_low", 0, true});
    std::int64_t delay = 0;
    for (Frame frame : sample_roast(id, -5'000, 600)) {
        if (frame.tick.ms % 37'000 == 0) delay += 7;
        frame.tick.ms += delay;
        Sample& exhaust = frame.samples[1];
        exhaust.quality =
            static_cast<Quality>((frame.tick.ms / 9'000) % kQualities + (frame.tick.ms < 0 ? 1 : 0));
        exhaust.fresh = frame.tick.ms % 3 == 0;
        if (frame.tick.ms % 50'000 < 300) frame.samples[0].value_milli += 900'000;
        group.frames.push_back({id, frame});
    }
    return group;
}

}  // namespace

// NIST, "SHA Examples", SHA-256 (csrc.nist.gov, Cryptographic Standards and Guidelines, example values); the
// million a's: FIPS PUB 180-2, appendix B.3.
TEST_CASE("SHA-256 gives the published sums") {
    CHECK(hex(sha256("abc")) == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    CHECK(hex(sha256("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq")) ==
          "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    CHECK(hex(sha256(std::string(1'000'000, 'a'))) ==
          "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST_CASE("python makes the same chain from the rows of a record") {
    const TempDir folder;
    const std::string path = folder.file("record.sqlite");
    std::string expected;
    {
        auto opened = open_record(path);
        REQUIRE_MESSAGE(opened.ok(), opened.error());
        RecorderSettings settings;
        settings.path = path;
        auto writer = BatchWriter::make(std::move(opened.value()), settings);
        REQUIRE_MESSAGE(writer.ok(), writer.error());
        std::string notice;
        for (std::uint64_t id = 1; id <= 3; ++id) {
            const Outcome outcome = writer.value()->commit(varied_roast(id));
            REQUIRE_MESSAGE(outcome.written, outcome.complaint);
            while (writer.value()->upkeep(false, notice)) {
            }
        }
        CommitGroup late;  // an event of a roast that was sealed
        late.rows.push_back(sample_event(1, 1, 500'000));
        REQUIRE(writer.value()->commit(late).written);
        CommitGroup weighed;
        weighed.rows.push_back(LateFactRow{2, LateKind::roasted_kg, 10'260, "Ada", "a", {1'780'000'000'000}});
        weighed.rows.push_back(LateFactRow{2, LateKind::colour, std::nullopt, "", "", {1'780'000'100'000}});
        REQUIRE(writer.value()->commit(weighed).written);
        CHECK_MESSAGE(notice.empty(), notice);
    }
    auto database = Database::open(path, OpenMode::read_only);
    REQUIRE(database.ok());
    REQUIRE(each_row(database.value(), "SELECT id, roast, facts, link FROM seals ORDER BY id",
                     [&](const Statement& row) {
                         expected +=
                             fmt::format("{} {} {} {}\n", row.id(0), row.id(1), row.string(2), row.string(3));
                     })
                .ok());
    CHECK(database.value().number("SELECT count(*) FROM seals").value() == 5);
    const Finished run = run_program({"python3", DRUMWATCH_SCRIPT, path}, std::chrono::seconds(60));
    REQUIRE_MESSAGE(run.status == 0, run.errors);
    CHECK(run.output == expected);
}

}  // namespace drumwatch

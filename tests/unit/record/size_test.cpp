// How much room a reading takes, everything counted: rows, indexes, half-empty pages, events and roast rows.
// The bounds are two-sided, since a size that is too good would mean that something is not stored.
#include <doctest/doctest.h>

#include <string>

#include "record/open_record.hpp"
#include "record/upkeep.hpp"
#include "support/sample_record.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {
namespace {

struct Day {
    TempDir folder;
    OpenedRecord opened;
    RowWriter rows;
    Upkeep upkeep{opened.database, rows, {12, std::int64_t{1} << 40}};
    std::int64_t empty = upkeep.used_bytes().value();
    double readings = 0;

    Day()
        : opened(std::move(open_record(folder.file("record.db")).value())),
          rows(std::move(RowWriter::prepare(opened.database).value())) {
        // Durability is proved elsewhere (tests/faults); here it would only be slow.
        REQUIRE(opened.database.run("PRAGMA synchronous=OFF").ok());
        put(sample_watch(1));
    }
    void put(const Row& row) { REQUIRE(rows.write(row).ok()); }

    /// A roast of ten minutes at 4 Hz as the recorder writes it: a row of frames each second.
    void roast(std::uint64_t id, std::int64_t step_milli, int every) {
        const auto from = static_cast<std::int64_t>(id - 1) * 600'000;
        const auto frames = sample_roast(id, from, 600, 250, step_milli, every);
        REQUIRE(opened.database.run("BEGIN").ok());
        for (std::size_t i = 0; i < frames.size(); i += 4) {
            const auto packed = pack_frames(std::span(frames).subspan(i, 4));
            REQUIRE(rows.write_frames(1, packed, FrameForm::written).ok());
        }
        for (int i = 0; i < 12; ++i) put(sample_event(1, id, from + i * 40'000));
        for (int i = 0; i < 3; ++i)
            put(sample_command(1, from + i * 100'000,
                               "tablet-" + std::to_string(id * 8 + static_cast<std::uint64_t>(i))));
        put(sample_roast_row(id, 1, from + 5000, 580));
        REQUIRE(opened.database.run("COMMIT").ok());
        readings += static_cast<double>(frames.size() * 8);
    }
    double bytes_a_reading() { return static_cast<double>(upkeep.used_bytes().value() - empty) / readings; }
};

}  // namespace

TEST_CASE("a reading takes at most 3 bytes while roasting and 1.3 once repacked") {
    struct Kind {
        const char* text;
        std::int64_t step_milli;
        int every;
        double most_written, most_repacked;
    };
    for (const Kind& kind :
         {Kind{"0.1 degree steps", 100, 1, 3.0, 1.3}, Kind{"one probe fresh each second", 100, 4, 3.0, 1.3},
          Kind{"0.001 degree steps", 1, 1, 3.0, 1.3}}) {
        const std::string text = kind.text;
        CAPTURE(text);
        for (const std::uint64_t roasts : {1U, 20U}) {
            CAPTURE(roasts);
            Day day;
            for (std::uint64_t id = 1; id <= roasts; ++id) day.roast(id, kind.step_milli, kind.every);
            const auto before = day.opened.database.number("SELECT sum(count) FROM frames").value();
            const double written = day.bytes_a_reading();
            REQUIRE(day.opened.database.run("UPDATE watches SET ended='clean'").ok());
            std::uint64_t repacked = 0;
            for (auto more = day.upkeep.repack_one(); more.ok() && more.value();
                 more = day.upkeep.repack_one())
                ++repacked;
            const double after = day.bytes_a_reading();
            MESSAGE(text, ", ", roasts, " roasts: ", written, " bytes a reading written, ", after,
                    " repacked");
            CHECK(repacked == roasts);
            CHECK(day.opened.database.number("SELECT sum(count) FROM frames").value() == before);
            CHECK(day.opened.database.text("PRAGMA integrity_check").value() == "ok");
            CHECK(written <= kind.most_written);
            CHECK(written >= 1.0);
            CHECK(after <= kind.most_repacked);
            CHECK(after >= 0.2);
        }
    }
}

}  // namespace drumwatch

#include <doctest/doctest.h>

#include "record/open_record.hpp"
#include "record/row_writer.hpp"
#include "support/sample_record.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {

TEST_CASE("packed frames come as rows of SQL") {
    const TempDir folder;
    auto opened = open_record(folder.file("record.db"));
    REQUIRE_MESSAGE(opened.ok(), opened.error());
    Database& database = opened.value().database;
    auto rows = RowWriter::prepare(database);
    REQUIRE(rows.ok());
    auto frames = sample_roast(9, 0, 50, 250, 100, 4);
    frames[7].samples[0].quality = Quality::open_circuit;
    for (std::uint64_t watch : {1U, 2U}) {
        REQUIRE(rows.value().write(Row{sample_watch(watch)}).ok());
        for (const auto& packed : pack_rows(frames)) {
            REQUIRE(rows.value().write_frames(watch, packed, FrameForm::written).ok());
        }
    }
    auto statement = Statement::prepare(
        database,
        "SELECT tick_ms, channel, round(value*1000), quality, fresh, value IS NULL FROM frame_values(2)");
    REQUIRE_MESSAGE(statement.ok(), statement.error());
    Statement& row = statement.value();
    for (const Frame& frame : frames) {
        for (std::size_t i = 0; i < frame.channels; ++i) {
            REQUIRE(row.step().value());
            const Sample& sample = frame.samples[i];
            REQUIRE(row.integer(0) == frame.tick.ms);
            REQUIRE(row.string(1) == sample_channels()[i].name);
            REQUIRE(row.string(3) == name(sample.quality));
            REQUIRE((row.integer(4) == 1) == sample.fresh);
            REQUIRE((row.integer(5) == 1) == !has_value(sample.quality));
            if (has_value(sample.quality)) REQUIRE(row.integer(2) == sample.value_milli);
        }
    }
    CHECK(!row.step().value());
    CHECK(
        database
            .number(
                "SELECT count(*) FROM frame_values(2) WHERE channel='bean' AND tick_ms BETWEEN 1000 AND 2000")
            .value() == 5);
    CHECK(database.number("SELECT count(*) FROM watches w JOIN frame_values v ON v.watch=w.id").value() ==
          static_cast<std::int64_t>(2 * 8 * frames.size()));
    CHECK(database.number("SELECT count(*) FROM frame_values(77)").value() == 0);
    const auto without = database.number("SELECT count(*) FROM frame_values");
    CHECK(!without.ok());
    CHECK(without.error().find("needs a watch") != std::string::npos);
    REQUIRE(database.run("UPDATE frames SET body=x'00' WHERE watch=1 AND from_ms=0").ok());
    CHECK(database.number("SELECT min(tick_ms) FROM frame_values(1)").value() > 0);
}

}  // namespace drumwatch

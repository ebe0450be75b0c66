#include "record/reader.hpp"

#include <doctest/doctest.h>

#include <fstream>

#include "record/open_record.hpp"
#include "record/row_writer.hpp"
#include "support/sample_record.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {
namespace {

struct Filled {
    TempDir folder;
    std::string path = folder.file("record.db");
    std::vector<Frame> frames = sample_roast(31, 1000, 100);

    Filled() {
        auto opened = open_record(path);
        REQUIRE_MESSAGE(opened.ok(), opened.error());
        auto rows = RowWriter::prepare(opened.value().database);
        REQUIRE(rows.ok());
        const auto put = [&](Row row) { REQUIRE(rows.value().write(row).ok()); };
        put(sample_watch(1));
        put(sample_watch(2));
        for (std::uint64_t id = 1; id <= 5; ++id) put(sample_roast_row(id, 1 + id / 4, 1000, 600));
        for (std::int64_t tick : {5, 10, 20, 40}) put(sample_event(1, tick == 20 ? 1 : 2, tick));
        for (const char* kind : {"alarm_raised", "alarms_silenced", "move_made"}) {
            EventRow event = sample_event(2, 0, 700);
            event.kind = kind;
            put(event);
        }
        // One row a second, as while roasting.
        for (std::size_t i = 0; i < frames.size(); i += 4) {
            const auto packed = pack_frames(std::span(frames).subspan(i, 4));
            REQUIRE(rows.value().write_frames(1, packed, FrameForm::written).ok());
        }
        REQUIRE(opened.value().database.run("UPDATE watches SET ended='clean'").ok());
    }

    std::unique_ptr<RecordReader> reader() const {
        auto open = RecordReader::open(path);
        REQUIRE_MESSAGE(open.ok(), open.error());
        return std::move(open.value());
    }
};

}  // namespace

TEST_CASE("watches last up to their newest frame or event, and alarm events are told apart") {
    const Filled filled;
    const auto spans = filled.reader()->watch_spans();
    REQUIRE_MESSAGE(spans.ok(), spans.error());
    REQUIRE(spans.value().size() == 2);
    CHECK(spans.value()[0].id == 1);
    CHECK(spans.value()[0].began.unix_ms == sample_watch(1).began.unix_ms);
    CHECK(spans.value()[0].first.ms == 0);
    CHECK(spans.value()[0].last == filled.frames.back().tick);
    CHECK(spans.value()[1].last.ms == 700);
    const auto events = filled.reader()->alarm_events(2);
    REQUIRE(events.ok());
    REQUIRE(events.value().size() == 2);
    CHECK(events.value()[0].kind == "alarm_raised");
    CHECK(events.value()[1].kind == "alarms_silenced");
    CHECK(filled.reader()->alarm_events(1).value().empty());
}

TEST_CASE("a roast comes back as it was put") {
    const Filled filled;
    const auto back = filled.reader()->roast(2);
    REQUIRE_MESSAGE(back.ok(), back.error());
    REQUIRE(back.value().has_value());
    const RoastRecord& roast = *back.value();
    const RoastRecord put = sample_roast_row(2, 1, 1000, 600);
    CHECK(roast.id == put.id);
    CHECK(roast.watch == put.watch);
    CHECK(roast.station == put.station);
    CHECK(roast.coffee == put.coffee);
    CHECK(roast.target_name == put.target_name);
    CHECK(roast.target_version == put.target_version);
    CHECK(roast.state == put.state);
    CHECK(roast.charge == put.charge);
    CHECK(roast.drop == put.drop);
    CHECK(roast.charged_at.unix_ms == put.charged_at.unix_ms);
    for (std::size_t i = 0; i < kMilestones; ++i) {
        REQUIRE(roast.milestones[i].has_value() == put.milestones[i].has_value());
        if (!put.milestones[i]) continue;
        CHECK(roast.milestones[i]->at == put.milestones[i]->at);
        CHECK(roast.milestones[i]->bean_milli == put.milestones[i]->bean_milli);
        CHECK(roast.milestones[i]->source == put.milestones[i]->source);
    }
    REQUIRE(roast.verdict.has_value());
    CHECK(roast.verdict->disposition == Disposition::taste);
    REQUIRE(roast.verdict->reasons.size() == 2);
    CHECK(roast.verdict->reasons[1].value == 45.25);
    CHECK(roast.verdict->reasons[1].level == 60.1);
    CHECK(roast.reasons == put.reasons);
    CHECK(roast.moves == put.moves);
    CHECK(!filled.reader()->roast(99).value().has_value());
}

TEST_CASE("roasts come newest first, in pages") {
    const Filled filled;
    auto reader = filled.reader();
    const auto page = reader->roasts(2, 0).value();
    REQUIRE(page.size() == 2);
    CHECK(page[0].id == 5);
    CHECK(page[1].id == 4);
    const auto rest = reader->roasts(10, 4).value();
    REQUIRE(rest.size() == 3);
    CHECK(rest[0].id == 3);
    CHECK(reader->roasts(0, 0).value().empty());
    CHECK(reader->roasts(SIZE_MAX, UINT64_MAX).value().size() == 5);
}

TEST_CASE("frames between two ticks, ends included") {
    const Filled filled;
    auto reader = filled.reader();
    for (const auto& [from, to] : {std::pair<std::int64_t, std::int64_t>{0, 1'000'000},
                                   {1000, 1000},
                                   {1250, 9000},
                                   {1100, 1200},
                                   {100'750, 100'750},
                                   {99'999, 200'000},
                                   {0, 999},
                                   {500'000, 600'000}}) {
        CAPTURE(from);
        CAPTURE(to);
        std::vector<Frame> expected;
        for (const Frame& frame : filled.frames) {
            if (frame.tick.ms >= from && frame.tick.ms <= to) expected.push_back(frame);
        }
        const auto frames = reader->frames(1, {from}, {to});
        REQUIRE_MESSAGE(frames.ok(), frames.error());
        CHECK(same_frames(frames.value(), expected));
    }
    CHECK(reader->frames(2, {0}, {1'000'000}).value().empty());
}

TEST_CASE("events by watch, by tick and by roast") {
    const Filled filled;
    auto reader = filled.reader();
    CHECK(reader->events(1, {10}, {40}).value().size() == 3);
    CHECK(reader->events(2, {0}, {100}).value().empty());
    const auto of_roast = reader->events_of_roast(1).value();
    REQUIRE(of_roast.size() == 1);
    CHECK(of_roast[0].tick_ms == 20);
    CHECK(of_roast[0].at_ms == 20 - 1500);
    CHECK(of_roast[0].kind == "turning_point");
    CHECK(of_roast[0].text == sample_event(1, 1, 20).text);
}

TEST_CASE("marked cracks of earlier roasts, oldest first") {
    const Filled filled;
    auto reader = filled.reader();
    const auto roasts = reader->marked_roasts("Saltmarsh Mill", "Fen Meadow, washed", 3).value();
    REQUIRE(roasts.size() == 3);
    const auto crack = static_cast<std::size_t>(Milestone::first_crack);
    for (std::size_t i = 0; i < 3; ++i)
        CHECK(roasts[i].milestones[crack]->bean_milli == to_milli(196.3 + 0.1 * static_cast<double>(i)));
    CHECK(reader->marked_roasts("Saltmarsh Mill", "another", 3).value().empty());
}

TEST_CASE("a watch comes back with its channels") {
    const Filled filled;
    const auto watch = filled.reader()->watch(2).value();
    REQUIRE(watch.has_value());
    CHECK(watch->began.unix_ms == sample_watch(2).began.unix_ms);
    CHECK(watch->tick_ms == 250);
    CHECK(watch->begin == sample_watch(2).begin);
    CHECK(watch->config_hash == "c0ffee");
    REQUIRE(watch->channels.size() == 8);
    CHECK(watch->channels[0].role == Role::bean);
}

TEST_CASE("a damaged row of frames is left out, the others are read") {
    const Filled filled;
    {
        auto database = Database::open(filled.path, OpenMode::read_write);
        REQUIRE(database.value().run("UPDATE frames SET body=x'00ff' WHERE from_ms=5000").ok());
    }
    CHECK(filled.reader()->frames(1, {0}, {1'000'000}).value().size() == filled.frames.size() - 4);
}

TEST_CASE("a record that can't be read says so") {
    const TempDir folder;
    CHECK(RecordReader::open(folder.file("absent.db")).error().find("no record at") != std::string::npos);
    std::ofstream(folder.file("text"))
        << "this is not a database but is long enough to be taken for one by its size";
    CHECK(!RecordReader::open(folder.file("text")).ok());
    std::ofstream(folder.file("empty")).flush();
    CHECK(!RecordReader::open(folder.file("empty")).ok());
    const Filled filled;
    REQUIRE(Database::open(filled.path, OpenMode::read_write).value().run("PRAGMA user_version=99").ok());
    CHECK(RecordReader::open(filled.path).error().find("newer build") != std::string::npos);
}

TEST_CASE("a reader's connection can't write") {
    const Filled filled;
    auto database = Database::open(filled.path, OpenMode::read_only);
    REQUIRE(database.ok());
    CHECK(!database.value().run("DELETE FROM roasts").ok());
}

}  // namespace drumwatch

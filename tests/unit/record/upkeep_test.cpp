#include "record/upkeep.hpp"

#include <doctest/doctest.h>

#include "record/open_record.hpp"
#include "record/reader.hpp"
#include "support/sample_record.hpp"
#include "support/temp_dir.hpp"

namespace drumwatch {
namespace {

constexpr std::int64_t kDayMs = 86'400'000;

struct Site {
    TempDir folder;
    std::string path = folder.file("record.db");
    OpenedRecord opened;
    RowWriter rows;

    Site()
        : opened(std::move(open_record(path).value())),
          rows(std::move(RowWriter::prepare(opened.database).value())) {
        // Durability is proved elsewhere (tests/faults); here it would only be slow.
        REQUIRE(opened.database.run("PRAGMA synchronous=OFF").ok());
    }

    void put(const Row& row) { REQUIRE(rows.write(row).ok()); }
    void put_frames(std::uint64_t watch, const std::vector<Frame>& frames, std::size_t at_once) {
        REQUIRE(opened.database.run("BEGIN").ok());
        for (std::size_t i = 0; i < frames.size(); i += at_once) {
            const auto part = std::span(frames).subspan(i, std::min(at_once, frames.size() - i));
            for (const auto& packed : pack_rows(part)) {
                REQUIRE(rows.write_frames(watch, packed, FrameForm::written).ok());
            }
        }
        REQUIRE(opened.database.run("COMMIT").ok());
    }
    std::vector<Frame> frames(std::uint64_t watch, std::int64_t from, std::int64_t to) {
        auto reader = RecordReader::open(path);
        REQUIRE_MESSAGE(reader.ok(), reader.error());
        return reader.value()->frames(watch, {from}, {to}).value();
    }
    void end(std::uint64_t watch) { put(Row{WatchEnd{watch, 0}}); }
};

std::vector<Frame> within(const std::vector<Frame>& frames, std::int64_t from, std::int64_t to) {
    std::vector<Frame> part;
    for (const Frame& frame : frames) {
        if (frame.tick.ms >= from && frame.tick.ms <= to) part.push_back(frame);
    }
    return part;
}

int run(Upkeep& upkeep, WallTime now) {
    int steps = 0;
    for (auto more = upkeep.keep_within(now);; more = upkeep.keep_within(now)) {
        REQUIRE_MESSAGE(more.ok(), more.error());
        if (!more.value()) return steps;
        REQUIRE(++steps < 10'000);
    }
}

}  // namespace

TEST_CASE("a finished roast is repacked once its frames are all there, exactly") {
    Site site;
    Upkeep upkeep(site.opened.database, site.rows, {12, std::int64_t{1} << 40});
    const auto frames = sample_roast(41, 0, 1200, 250, 100, 4);
    site.put(sample_watch(1));
    RoastRecord roast = sample_roast_row(1, 1, 100'000, 500);
    roast.state = RoastState::roasting;
    site.put(roast);
    site.put_frames(1, within(frames, 0, 700'000), 4);
    CHECK(!upkeep.repack_one().value());
    roast.state = RoastState::finished;
    site.put(roast);
    CHECK(!upkeep.repack_one().value());  // 300 s after the drop have not been yet
    site.put_frames(1, within(frames, 700'001, 2'000'000), 4);
    CHECK(upkeep.repack_one().value());
    CHECK(!upkeep.repack_one().value());
    CHECK(same_frames(site.frames(1, 0, 2'000'000), frames));
    CHECK(site.opened.database.number("SELECT count(*) FROM frames WHERE form=1").value() < 60);
    // A late verdict changes the row and not the frames.
    roast.verdict->disposition = Disposition::hold;
    site.put(roast);
    CHECK(!upkeep.repack_one().value());
}

TEST_CASE("a damaged row survives repacking beside the others") {
    Site site;
    Upkeep upkeep(site.opened.database, site.rows, {12, std::int64_t{1} << 40});
    const auto frames = sample_roast(42, 0, 400);
    site.put(sample_watch(1));
    site.put_frames(1, frames, 4);
    site.put(sample_roast_row(1, 1, 60'000, 200));
    site.end(1);
    REQUIRE(site.opened.database.run("UPDATE frames SET crc=crc+1 WHERE from_ms=150000").ok());
    CHECK(upkeep.repack_one().value());
    CHECK(
        site.opened.database.number("SELECT count(*) FROM frames WHERE from_ms=150000 AND count=4").value() ==
        1);
    CHECK(site.frames(1, 0, 1'000'000).size() == frames.size() - 4);
}

TEST_CASE("old frames outside roasts are thinned to one a second, roasts are not") {
    Site site;
    const auto frames = sample_roast(43, 0, 2000);
    for (std::uint64_t watch : {1U, 2U}) {
        site.put(sample_watch(watch));
        site.put_frames(watch, frames, 20);
        site.put(sample_roast_row(watch, watch, 600'000, 500));
        site.end(watch);
    }
    Upkeep upkeep(site.opened.database, site.rows, {12, std::int64_t{1} << 40});
    const std::int64_t first = sample_watch(1).began.unix_ms;
    // A little over 12 months after the first watch, not yet after the second, a day later.
    const WallTime now{first + 366 * kDayMs + 3'600'000};
    CHECK(run(upkeep, {first + 300 * kDayMs}) == 0);
    CHECK(run(upkeep, now) > 0);
    CHECK(same_frames(site.frames(2, 0, 3'000'000), frames));
    const auto left = site.frames(1, 0, 3'000'000);
    const std::int64_t from = 600'000 - kKeptBeforeChargeMs;
    const std::int64_t to = 1'100'000 + kKeptAfterDropMs;
    CHECK(same_frames(within(left, from, to), within(frames, from, to)));
    const auto before = within(left, 0, from - 6000);
    const auto after = within(left, to + 6000, 3'000'000);
    CHECK(same_frames(before, within(thinned(frames), 0, from - 6000)));
    CHECK(before.size() == static_cast<std::size_t>((from - 6000) / 1000 + 1));
    CHECK(same_frames(after, within(thinned(frames), to + 6000, 3'000'000)));
    CHECK(run(upkeep, now) == 0);
    // Another start begins at the beginning again and finds nothing to do.
    Upkeep later(site.opened.database, site.rows, {12, std::int64_t{1} << 40});
    CHECK(run(later, now) == 0);
    CHECK(site.opened.database.text("PRAGMA integrity_check").value() == "ok");
}

TEST_CASE("two years of a site keep within age and budget and lose no roast") {
    Site site;
    // Three days a month, each a watch with 2000 s of idling and one roast in it, told at their own dates.
    const std::int64_t budget = 1'500'000;
    Upkeep upkeep(site.opened.database, site.rows, {12, budget});
    std::vector<std::vector<Frame>> roasts;
    std::uint64_t id = 0;
    std::int64_t most = 0;
    for (int month = 0; month < 24; ++month) {
        for (int day = 0; day < 3; ++day) {
            ++id;
            const std::int64_t began = 1'700'000'000'000 + (month * 61 + day * 10) * kDayMs / 2;
            WatchRow watch = sample_watch(id);
            watch.began = {began};
            site.put(watch);
            const auto frames = sample_roast(id, 0, 2000);
            site.put_frames(id, frames, 20);
            site.put(sample_roast_row(id, id, 700'000, 400));
            site.end(id);
            roasts.push_back(within(frames, 700'000 - kKeptBeforeChargeMs, 1'100'000 + kKeptAfterDropMs));
            while (upkeep.repack_one().value()) {
            }
            run(upkeep, {began + 8 * 3'600'000});
            most = std::max(most, upkeep.used_bytes().value());
        }
    }
    MESSAGE("largest after upkeep: ", most, " bytes of ", budget);
    CHECK(most <= budget);
    CHECK(most > budget / 2);  // else the budget was never pressed and nothing was proved
    CHECK(!upkeep.over_budget());
    for (std::uint64_t roast = 1; roast <= id; ++roast) {
        CAPTURE(roast);
        const auto left = site.frames(roast, 700'000 - kKeptBeforeChargeMs, 1'100'000 + kKeptAfterDropMs);
        REQUIRE(same_frames(left, roasts[roast - 1]));
    }
    CHECK(site.opened.database.number("SELECT count(*) FROM roasts").value() == 72);
    // The oldest idling went, the newest is there.
    CHECK(site.frames(1, 0, 500'000).empty());
    CHECK(site.frames(id, 0, 500'000).size() == 2001);
    CHECK(site.opened.database.text("PRAGMA integrity_check").value() == "ok");
}

TEST_CASE("over budget with roasts alone says so and deletes nothing") {
    Site site;
    Upkeep upkeep(site.opened.database, site.rows, {12, 1000});
    site.put(sample_watch(1));
    site.put_frames(1, sample_roast(44, 0, 700), 20);
    site.put(sample_roast_row(1, 1, 10'000, 600));
    site.end(1);
    CHECK(run(upkeep, sample_watch(1).began) == 0);
    CHECK(upkeep.over_budget());
    CHECK(site.frames(1, 0, 1'000'000).size() == 2800);
}

TEST_CASE("the newest day of the open watch stays whatever the budget") {
    Site site;
    Upkeep upkeep(site.opened.database, site.rows, {12, 1000});
    site.put(sample_watch(1));
    const auto old = sample_roast(45, 0, 100);
    const auto young = sample_roast(46, 2 * kDayMs, 100);
    site.put_frames(1, old, 20);
    site.put_frames(1, young, 20);
    run(upkeep, sample_watch(1).began);
    CHECK(same_frames(site.frames(1, 0, 3 * kDayMs), young));
}

TEST_CASE("many free pages are given back to the file system") {
    Site site;
    Upkeep upkeep(site.opened.database, site.rows, {12, std::int64_t{1} << 40});
    site.put(sample_watch(1));
    site.put(sample_watch(2));
    site.put_frames(1, sample_roast(47, 0, 20'000, 250, 1), 4);
    const auto pages = site.opened.database.number("PRAGMA page_count").value();
    REQUIRE(site.opened.database.run("DELETE FROM frames").ok());
    run(upkeep, sample_watch(1).began);
    CHECK(site.opened.database.number("PRAGMA page_count").value() < pages / 2 + 512);
}

}  // namespace drumwatch

#include "record/upkeep.hpp"

#include <doctest/doctest.h>

#include "support/sample_record.hpp"
#include "upkeep_site.hpp"

namespace drumwatch {
namespace {

constexpr std::int64_t kDayMs = 86'400'000;

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

TEST_CASE("what is repacked on both sides of another roast stays in order") {
    // A charge that is taken back has no drop: its hour ends after the roast that was charged within it.
    Site site;
    Upkeep upkeep(site.opened.database, site.rows, {12, std::int64_t{1} << 40});
    const auto frames = sample_roast(48, 0, 5000, 500);
    site.put(sample_watch(1));
    RoastRecord taken_back = sample_roast_row(1, 1, 600'000, 0);
    taken_back.state = RoastState::withdrawn;
    taken_back.drop.reset();
    site.put(taken_back);
    site.put(sample_roast_row(2, 1, 1'507'000, 600));
    site.put_frames(1, within(frames, 0, 3'000'000), 2);
    CHECK(upkeep.repack_one().value());  // the roast; the hour is not over
    CHECK(!upkeep.repack_one().value());
    site.put_frames(1, within(frames, 3'000'001, 5'000'000), 2);
    CHECK(upkeep.repack_one().value());
    CHECK(site.overlapping_rows() == 0);
    CHECK(same_frames(site.frames(1, 0, 5'000'000), frames));
    CHECK(same_frames(site.frames(1, 2'400'000, 5'000'000), within(frames, 2'400'000, 5'000'000)));
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
    CHECK(site.overlapping_rows() == 0);
    // Another start begins at the beginning again and finds nothing to do.
    Upkeep later(site.opened.database, site.rows, {12, std::int64_t{1} << 40});
    CHECK(run(later, now) == 0);
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

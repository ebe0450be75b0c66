#include "service/resume.hpp"

#include "desk.hpp"

using namespace drumwatch;

namespace {

constexpr std::int64_t kWatched_ms = 20'000;

/// A watch of 20 s that began in 1970, with or without a roast in the drum at its end.
std::unique_ptr<RecordReader> record(Desk& at, bool roasting) {
    if (roasting) at.desk.take(at.command(CommandKind::mark), [](const CommandAnswer&) {});
    while (at.engine.snapshot().tick.ms < kWatched_ms) at.tick();
    return at.closed();
}

/// Of another boot, with a clock that follows a time server.
ClockReading after_the_last_reading(std::int64_t ms) { return {{kWatched_ms + ms}, true, "second", 1'000}; }
ClockReading same_boot_after(std::int64_t ms) {
    return {{-5'000}, false, "first", 500'000 + kWatched_ms + ms};
}

}  // namespace

TEST_CASE("a roast in the drum goes on after a short gap, on the watch's grid") {
    Desk at;
    const auto reader = record(at, true);
    const ResumeChoice choice = resume(*reader, {}, 1, after_the_last_reading(6'100));
    REQUIRE(choice.resumed);
    CHECK(choice.resumed->sentence == "roast 1 in the drum goes on after a gap of 6 s");
    CHECK(choice.resumed->next.ms == kWatched_ms + 6'250);
    CHECK(choice.resumed->gap_known);
    CHECK(choice.resumed->engine.snapshot().roast->id == 1);
    CHECK(choice.resumed->engine.snapshot().tick.ms == kWatched_ms);
    // A clock that was set back by a second meanwhile is no unknown gap.
    CHECK(resume(*reader, {}, 1, after_the_last_reading(-1'000)).resumed->next.ms == kWatched_ms + 250);
}

TEST_CASE("within one boot the kernel's own time tells the gap, whatever the wall clock says") {
    Desk at;
    const auto reader = record(at, true);
    const ResumeChoice choice = resume(*reader, {}, 1, same_boot_after(42'000));
    REQUIRE(choice.resumed);
    CHECK(choice.resumed->gap_known);
    CHECK(choice.resumed->next.ms == kWatched_ms + 42'000);
}

TEST_CASE("a clock that nobody has set leaves the gap unknown, and the roast goes on with the next tick") {
    Desk at;
    const auto reader = record(at, true);
    ClockReading unset = after_the_last_reading(30'000);
    unset.synchronised = false;
    ClockReading in_1970 = unset;
    in_1970.wall.unix_ms = -365LL * 86'400'000;
    ClockReading yesterday = after_the_last_reading(-86'400'000);
    for (const ClockReading& now : {unset, in_1970, yesterday}) {
        const ResumeChoice choice = resume(*reader, {}, 1, now);
        REQUIRE(choice.resumed);
        CHECK_FALSE(choice.resumed->gap_known);
        CHECK(choice.resumed->next.ms == kWatched_ms + 250);
        CHECK(choice.resumed->sentence.find("unknown length") != std::string::npos);
    }
    // A clock without a battery never runs ahead: what it says is the least that has gone by.
    unset.wall.unix_ms += 16 * 60'000;
    CHECK(resume(*reader, {}, 1, unset).why_not.find("s old") != std::string::npos);
}

TEST_CASE("what can't be gone on with says why, and says nothing where nothing was under way") {
    Config changed;
    changed.hash = "another";
    const std::int64_t minute_ms = 60'000;
    for (const bool roasting : {true, false}) {
        CAPTURE(roasting);
        Desk at;
        const auto reader = record(at, roasting);
        const auto why = [&](const Config& config, std::int64_t gap_ms) {
            const ResumeChoice choice = resume(*reader, config, 1, after_the_last_reading(gap_ms));
            CHECK_FALSE(choice.resumed);
            return choice.why_not;
        };
        const auto says = [&](const std::string& text, const char* part) {
            return roasting ? text.find(part) != std::string::npos : text.empty();
        };
        CHECK(says(why(changed, 1'000), "the configuration has changed"));
        CHECK(says(why({}, 16 * minute_ms), "its last reading is 960 s old"));
        CHECK(says(why({}, 25 * 60 * minute_ms), "too long"));
    }
}

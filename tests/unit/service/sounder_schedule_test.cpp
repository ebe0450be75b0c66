// When sounders are tested: days of the box's time zone, and the steps of a coil's test in the station's
// time.
#include "service/sounder_schedule.hpp"

#include <doctest/doctest.h>

#include <cstdlib>

#include "service/coil_tests.hpp"
#include "service/local_time.hpp"

using namespace drumwatch;

namespace {

using Now = SounderSchedule::Now;
constexpr std::int64_t kOneHour_ms = 3'600'000;

WallTime at(const char* utc) { return wall_time_from_utc(utc).value(); }

/// Looks each minute; the instants at which something was due.
std::vector<std::string> due(SounderSchedule& schedule, WallTime from, std::int64_t hours, Now what,
                             bool busy = false) {
    std::vector<std::string> instants;
    for (std::int64_t ms = 0; ms < hours * kOneHour_ms; ms += 60'000) {
        const WallTime now{from.unix_ms + ms};
        if (schedule.look(now, busy, false) == what) instants.push_back(utc_text(now).substr(0, 16));
    }
    return instants;
}

}  // namespace

TEST_CASE("the start's test waits for silence, and is left out where it is not wanted") {
    SounderSchedule schedule(std::nullopt, true);
    CHECK(schedule.look({0}, false, true) == Now::nothing);
    CHECK(schedule.look({0}, true, false) == Now::test);  // a chirp spoils no roast
    CHECK(schedule.look({0}, false, false) == Now::nothing);
    SounderSchedule quiet(std::nullopt, false);
    CHECK(quiet.look({0}, false, false) == Now::nothing);
}

TEST_CASE(
    "the day's test comes once a day at its time by the clock on the wall, over summer time's end too") {
    const char* const before = std::getenv("TZ");
    const std::string had = before ? before : "";
    // POSIX's way to write a zone (TZ, XBD 8.3); in 2026 summer time ends on 25 October at 01:00 UTC.
    setenv("TZ", "MID-1MSU-2,M3.5.0,M10.5.0/3", 1);
    SounderSchedule schedule(5 * 60 + 30, false);
    CHECK(due(schedule, at("2026-10-23T12:00:00.000Z"), 72, Now::test) ==
          std::vector<std::string>{"2026-10-24T03:30", "2026-10-25T04:30", "2026-10-26T04:30"});
    SounderSchedule busy(5 * 60 + 30, false);
    CHECK(due(busy, at("2026-10-23T12:00:00.000Z"), 24, Now::left_out, true) ==
          std::vector<std::string>{"2026-10-24T03:30"});
    // A clock that is set back by a month is followed.
    CHECK(due(busy, at("2026-09-20T12:00:00.000Z"), 24, Now::test) ==
          std::vector<std::string>{"2026-09-21T03:30"});
    before ? setenv("TZ", had.c_str(), 1) : unsetenv("TZ");
}

TEST_CASE("coils are tested one after the other: on for a pulse once it is confirmed, and off") {
    CoilTests tests;
    std::array<std::optional<bool>, 2> level{false, false};
    const auto confirmed = [&](std::size_t sounder) { return level[sounder]; };
    std::vector<std::size_t> passed;
    std::string first;
    tests.begin({0, 1}, {0});
    for (std::int64_t now = 0; tests.running() && now < 60'000; now += 250) {
        if (const auto result = tests.step({now}, confirmed)) {
            CHECK(result->passed);
            passed.push_back(result->sounder);
        }
        for (std::size_t i = 0; i < 2; ++i) level[i] = tests.sounder() == i && tests.level();
        first += level[0] == true ? 'x' : level[1] == true ? 'y' : '.';
    }
    CHECK(passed == std::vector<std::size_t>{0, 1});
    CHECK(first == "xx...yy..");
}

TEST_CASE("a coil that is not confirmed in time fails its test, and the next one is tested") {
    CoilTests tests;
    tests.begin({4, 6}, {0});
    bool on = false;
    std::vector<CoilTests::Result> results;
    for (std::int64_t now = 0; tests.running() && now < 60'000; now += 250) {
        const auto confirmed = [&](std::size_t sounder) {
            return sounder == 4 ? std::optional<bool>() : std::optional(on);
        };
        if (const auto result = tests.step({now}, confirmed)) results.push_back(*result);
        if (results.size() == 1 && results[0].sounder == 4 && !tests.sounder())
            CHECK(now <= CoilTests::kPatience_ms + CoilTests::kBetween_ms);
        on = tests.level();
    }
    REQUIRE(results.size() == 2);
    CHECK_FALSE(results[0].passed);
    CHECK(results[1].sounder == 6);
    CHECK(results[1].passed);
    tests.begin({4}, {0});
    tests.give_up();
    CHECK_FALSE(tests.running());
    CHECK_FALSE(tests.sounder());
}

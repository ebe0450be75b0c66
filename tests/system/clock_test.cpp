// A box without a clock battery, as a whole process in real time: it starts in 1970 each time, loses its
// power in the middle of a roast, and its clock is set later. The station is not a simulated one, since those
// keep a time of their own; the readings come from the simulator at the pace of life.
#include <doctest/doctest.h>
#include <fmt/format.h>

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <fstream>

#include "station.hpp"
#include "tablet.hpp"

using namespace drumwatch;
using nlohmann::json;

namespace {

std::int64_t wall_ms() {
    const auto now = std::chrono::system_clock::now().time_since_epoch();
    return std::chrono::duration_cast<std::chrono::milliseconds>(now).count();
}

/// What the clock of the box is to say from now on.
class BoxClock {
  public:
    explicit BoxClock(std::string path) : path_(std::move(path)) {}

    void stands_in_1970(const char* boot) const { write(5'000 - wall_ms(), 0, boot); }
    void is_set(const char* boot) const { write(0, 1, boot); }
    void is_set_an_hour_ahead(const char* boot) const { write(3'600'000, 1, boot); }

  private:
    void write(std::int64_t ahead_ms, int synchronised, const char* boot) const {
        std::ofstream(path_ + ".next") << fmt::format("{} {} {}\n", ahead_ms, synchronised, boot);
        REQUIRE(std::rename((path_ + ".next").c_str(), path_.c_str()) == 0);
    }
    std::string path_;
};

bool has_reason(const RoastRecord& roast, VerdictRule rule) {
    if (!roast.verdict) return false;
    for (const Reason& reason : roast.verdict->reasons)
        if (reason.rule == rule) return true;
    return false;
}

}  // namespace

TEST_CASE("a sandbox hides the boot's id: the service manager's word for it tells how long the gap was") {
    const TempDir folder;
    const BoxClock clock(folder.file("clock"));
    clock.stands_in_1970("hidden");
    StationPlan plan;
    plan.stepped = false;
    plan.own_time = false;
    plan.daemon_environment = {"LD_PRELOAD=" BOX_CLOCK_CALLS, "DRUMWATCH_TEST_CLOCK=" + folder.file("clock"),
                               "DRUMWATCH_BOOT_ID=1b6b62111064", "ASAN_OPTIONS=verify_asan_link_order=0"};
    StationRun station(plan);
    const Tablet tablet(station);
    tablet.until("a good reading",
                 [](const json& now) { return now["channels"]["bean"]["quality"] == "good"; });
    REQUIRE(tablet.mark("charge", "charge").status == 200);
    tablet.until("a roast in the record", [&](const json& now) {
        if (now["roast"].is_null() || now["roast"]["elapsed_s"] < 3) return false;
        return station.frames().back().tick >= station.roast(1).charge + 1'000;
    });
    const std::string said = station.kill_and_restart();
    CHECK_MESSAGE(said.find("goes on after a gap of") != std::string::npos, said);
    CHECK_MESSAGE(said.find("unknown length") == std::string::npos, said);
    const json again = tablet.until("the roast", [](const json& now) { return !now["roast"].is_null(); });
    CHECK(again["roast"]["time_lost"] == false);
    station.stop();
}

TEST_CASE(
    "a box without a clock battery: the gap is unknown and said, the roast unjudged, the labels right at "
    "last") {
    const TempDir folder;
    const BoxClock clock(folder.file("clock"));
    clock.stands_in_1970("first");
    StationPlan plan;
    plan.stepped = false;
    plan.own_time = false;
    plan.daemon_environment = {"LD_PRELOAD=" BOX_CLOCK_CALLS, "DRUMWATCH_TEST_CLOCK=" + folder.file("clock"),
                               "ASAN_OPTIONS=verify_asan_link_order=0"};
    StationRun station(plan);
    const Tablet tablet(station);
    tablet.until("a good reading",
                 [](const json& now) { return now["channels"]["bean"]["quality"] == "good"; });
    const std::int64_t charged_ms = wall_ms();
    REQUIRE(tablet.mark("charge", "charge").status == 200);
    tablet.until("five seconds of a roast in the record", [&](const json& now) {
        if (now["roast"].is_null() || now["roast"]["elapsed_s"] < 5) return false;
        return station.frames().back().tick >= station.roast(1).charge + 5'000;
    });
    CHECK(station.roast(1).charged_at.unix_ms < 86'400'000);

    clock.stands_in_1970("second");
    const std::string said = station.kill_and_restart();
    CHECK_MESSAGE(said.find("goes on after a gap of unknown length") != std::string::npos, said);
    const json again = tablet.until("the roast", [](const json& now) { return !now["roast"].is_null(); });
    CHECK(again["roast"]["time_lost"] == true);
    CHECK(again["roast"]["elapsed_s"] >= 5);

    clock.is_set("second");
    const auto labelled = [&] { return std::abs(station.roast(1).charged_at.unix_ms - charged_ms) < 60'000; };
    tablet.until("the right label", [&](const json&) { return labelled(); });
    REQUIRE(tablet.mark("drop", "drop").status == 200);
    tablet.until("the verdict", [](const json& now) { return !now["last_verdict"].is_null(); });
    station.stop();
    const RoastRecord roast = station.roast(1);
    REQUIRE(roast.verdict);
    CHECK(roast.verdict->disposition == Disposition::unjudged);
    CHECK(has_reason(roast, VerdictRule::interrupted));
    CHECK(labelled());
}

TEST_CASE("a clock that is set by hand is an alarm at once, that it is set at last is none") {
    const TempDir folder;
    const BoxClock clock(folder.file("clock"));
    clock.stands_in_1970("only");
    StationPlan plan;
    plan.stepped = false;
    plan.own_time = false;
    plan.daemon_environment = {"LD_PRELOAD=" BOX_CLOCK_CALLS, "DRUMWATCH_TEST_CLOCK=" + folder.file("clock"),
                               "ASAN_OPTIONS=verify_asan_link_order=0"};
    StationRun station(plan);
    const Tablet tablet(station);
    const auto doubtful = [](const json& now) {
        const auto& alarms = now["alarms"];
        return std::any_of(alarms.begin(), alarms.end(),
                           [](const json& alarm) { return alarm["rule"] == "clock_doubtful"; });
    };
    tablet.until("a good reading",
                 [](const json& now) { return now["channels"]["bean"]["quality"] == "good"; });
    clock.is_set("only");
    const json set = tablet.until("the right time of day",
                                  [](const json& now) { return now["utc"].get<std::string>() > "2020"; });
    tablet.until("the clock asked again", [&](const json& now) {
        CHECK_FALSE(doubtful(now));
        const auto ticks = now["sequence"].get<std::int64_t>() - set["sequence"].get<std::int64_t>();
        return ticks * now["tick_ms"].get<std::int64_t>() >= 11'000;
    });
    clock.is_set_an_hour_ahead("only");
    tablet.until("the alarm", doubtful);
    station.stop();
}

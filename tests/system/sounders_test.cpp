// Sounders, lights and buttons of a station: simulator and daemon as real processes over TCP, in stepped time
// but where a command of the box runs in its own.
#include <algorithm>
#include <chrono>
#include <filesystem>
#include <fstream>
#include <map>
#include <thread>

#include "finger.hpp"
#include "tablet.hpp"

using namespace drumwatch;
using namespace std::chrono_literals;

namespace {

constexpr const char* kHornAndLight = R"([
    {"kind":"coil","name":"horn","bus":"machine","coil":0},
    {"kind":"coil","name":"red light","bus":"machine","coil":2,"what":"red"}])";

/// The bean temperature runs away, late in a roast without a target (or drift would sound first).
StationPlan runaway() {
    StationPlan plan;
    plan.simulator = {"--batches", "1", "--seed", "11", "--fault", "runaway@400"};
    plan.with_target = false;
    plan.sounders = kHornAndLight;
    return plan;
}

/// Commands in the record, of any watch.
std::vector<CommandRow> said_by(const StationRun& station, const std::string& who) {
    std::vector<CommandRow> said;
    const auto reader = RecordReader::open(station.record_path());
    if (!reader) return said;
    const auto watches = reader.value()->watch_spans().value();
    for (const WatchSpan& watch : watches) {
        const auto commands = reader.value()->commands(watch.id).value();
        std::copy_if(commands.begin(), commands.end(), std::back_inserter(said),
                     [&](const CommandRow& row) { return row.who == who; });
    }
    return said;
}

struct Switched {
    std::int64_t sim_ms = 0;
    bool on = false;
};

/// What one of the machine's coils did.
std::vector<Switched> switched(const StationRun& station, int coil) {
    std::vector<Switched> changes;
    for (const Truth& line : station.truth()) {
        if (line.event != "coil") continue;
        const auto json = nlohmann::json::parse(line.detail);
        if (json.at("coil") == coil) changes.push_back({line.sim_ms, json.at("on").get<bool>()});
    }
    return changes;
}

void await_changes(const StationRun& station, int coil, std::size_t count) {
    const auto give_up = std::chrono::steady_clock::now() + 240s;
    while (switched(station, coil).size() < count) {
        REQUIRE(std::chrono::steady_clock::now() < give_up);
        std::this_thread::sleep_for(20ms);  // between looks at a file
    }
}

bool waits(const nlohmann::json& status, const char* state) {
    return std::any_of(status["alarms"].begin(), status["alarms"].end(),
                       [&](const auto& alarm) { return alarm["state"] == state; });
}

std::vector<nlohmann::json> told(const StationRun& station, const char* health) {
    std::vector<nlohmann::json> events;
    for (const EventRow& event : station.events()) {
        const auto body = nlohmann::json::parse(event.body);
        if (event.kind == "health_changed" && body.at("health") == health) events.push_back(body);
    }
    return events;
}

}  // namespace

TEST_CASE("a high alarm sounds the horn and flashes the red light, within the on-delay and two ticks") {
    StationRun station(runaway());
    await_changes(station, 2, 5);
    station.stop();
    std::int64_t over_since = -1;
    for (const Frame& frame : station.frames()) {
        const bool over = frame.samples[0].quality == Quality::good && frame.samples[0].value_milli > 240'000;
        if (!over) over_since = -1;
        if (over && over_since < 0) over_since = frame.tick.ms;
        if (over && frame.tick.ms - over_since >= 3'000) break;
    }
    REQUIRE(over_since > 0);
    for (const int coil : {0, 2}) {
        CAPTURE(coil);
        const auto changes = switched(station, coil);
        REQUIRE(!changes.empty());
        CHECK(changes[0].on);
        CHECK(changes[0].sim_ms - over_since >= 3'000);
        CHECK(changes[0].sim_ms - over_since <= 3'500);
    }
    const auto light = switched(station, 2);
    for (std::size_t i = 0; i < 4; ++i) {
        CHECK(light[i].on == (i % 2 == 0));
        CHECK(light[i + 1].sim_ms - light[i].sim_ms == 1'000);
    }
}

TEST_CASE(
    "a button on a discrete input acknowledges: recorded by its name, the horn stops, the light is steady") {
    StationPlan plan = runaway();
    plan.buttons = R"([{"meaning":"acknowledge","name":"green","bus":"machine","discrete_input":1},
                       {"meaning":"next_mark","bus":"machine","discrete_input":2}])";
    StationRun station(plan);
    const Tablet tablet(station);
    Finger finger(station.machine_port());
    tablet.until("some polls", [](const auto& now) { return now["sequence"] >= 8; });
    finger.press(1, true);  // nothing waits yet: said in the log
    tablet.until("an alarm", [](const auto& now) { return waits(now, "unacknowledged"); });
    CHECK(!waits(tablet.status(), "acknowledged"));
    finger.press(1, false);
    const auto released = tablet.status()["sequence"].get<std::int64_t>();
    tablet.until("two polls", [&](const auto& now) { return now["sequence"] >= released + 2; });
    finger.press(1, true);
    // The alarm calls again after two minutes, which a fast station has soon: what a look at the status shows
    // is chance. What was recorded and switched is not.
    const auto row = tablet.until("the button in the record",
                                  [&](const auto&) { return !said_by(station, "button green").empty(); });
    const auto seen = row["sequence"].get<std::int64_t>();
    tablet.until("some seconds", [&](const auto& status) { return status["sequence"] >= seen + 40; });
    finger.press(2, true);
    tablet.until("some more", [&](const auto& status) { return status["sequence"] >= seen + 80; });
    station.stop();
    CHECK(station.log().find("button \"green\": nothing done: no alarm waits to be acknowledged") !=
          std::string::npos);
    CHECK(said_by(station, "button green").front().kind == "acknowledge");
    const auto light = switched(station, 2);
    REQUIRE(light.size() > 2);
    const auto steady = std::adjacent_find(light.begin(), light.end(), [](const auto& one, const auto& next) {
        return one.on && next.sim_ms - one.sim_ms >= 8'000;
    });
    const bool to_the_end = steady == light.end() && light.back().on;
    REQUIRE((steady != light.end() || to_the_end));
    const Switched& from = to_the_end ? light.back() : *steady;
    for (const Switched& horn : switched(station, 0))
        CHECK_FALSE((horn.on && horn.sim_ms > from.sim_ms + 1'000 && horn.sim_ms < from.sim_ms + 8'000));
}

TEST_CASE("a sounder that can't be reached is told and shown, and the other one sounds") {
    StationPlan plan = runaway();
    plan.sounders = R"([{"kind":"command","name":"player","command":["/nowhere/player","{priority}"]},
                        {"kind":"coil","name":"horn","bus":"machine","coil":0}])";
    StationRun station(plan);
    const Tablet tablet(station);
    const auto status = tablet.until("the failure", [](const auto& now) {
        return now["sounders"].size() == 2 && !now["sounders"][0]["working"].template get<bool>();
    });
    CHECK(status["sounders"][0]["name"] == "player");
    CHECK(status["sounders"][0]["kind"] == "command");
    CHECK(status["sounders"][0]["why"].get<std::string>().find("/nowhere/player") != std::string::npos);
    CHECK(status["sounders"][1]["working"] == true);
    await_changes(station, 0, 3);
    station.stop();
    const auto failed = told(station, "sounder_failed");
    REQUIRE(failed.size() == 1);
    CHECK(failed[0]["index"] == 0);
    CHECK(failed[0]["bad"] == true);
    CHECK(station.log().find("the sounder \"player\" can't be reached: ") != std::string::npos);
}

TEST_CASE("a coil that its device does not have is told as a failed sounder") {
    StationPlan plan = runaway();
    plan.sounders = R"([{"kind":"coil","name":"horn","bus":"machine","coil":0},
                        {"kind":"coil","name":"lost light","bus":"machine","coil":900,"what":"yellow"}])";
    StationRun station(plan);
    const Tablet tablet(station);
    const auto status = tablet.until("the failure", [](const auto& now) {
        return now["sounders"].size() == 2 && !now["sounders"][1]["working"].template get<bool>();
    });
    CHECK(status["sounders"][1]["why"].get<std::string>().find("the device refuses coil 900") == 0);
    await_changes(station, 0, 3);
    station.stop();
    REQUIRE(told(station, "sounder_failed").size() == 1);
    CHECK(told(station, "sounder_failed")[0]["index"] == 1);
}

TEST_CASE("sounders are tested at the start and when asked, not while an alarm sounds") {
    StationPlan plan = runaway();
    plan.chirp_at_start = true;
    StationRun station(plan);
    const Tablet tablet(station);
    const auto test = [&](const char* id) {
        return RawClient(station.port())
            .post("/api/sounders/test", nlohmann::json{{"client_id", id}}.dump())
            .status;
    };
    tablet.until("both tested", [](const auto& now) {
        return now["sounders"].size() == 2 && now["sounders"][1]["tested_at"].is_string();
    });
    CHECK(test("first") == 200);
    await_changes(station, 2, 4);
    tablet.until("an alarm", [](const auto& now) { return now["sounder"]["pattern"] == "high"; });
    CHECK(test("second") == 409);
    CHECK(RawClient(station.port()).post("/api/sounders/test", "{}").status == 422);
    station.stop();
    for (const int coil : {0, 2}) {
        const auto changes = switched(station, coil);
        REQUIRE(changes.size() >= 4);
        CHECK(changes[1].sim_ms - changes[0].sim_ms == 500);
        CHECK(changes[3].sim_ms - changes[2].sim_ms == 500);
    }
    CHECK(switched(station, 2)[0].sim_ms - switched(station, 0)[1].sim_ms >= 500);
    const auto results = told(station, "sounder_tested");
    REQUIRE(results.size() == 4);
    for (const auto& result : results) CHECK(result["bad"] == false);
}

TEST_CASE("high, medium and low are told apart on the coil, and none is a continuous tone") {
    // As alarms/pattern.hpp has them, in half seconds: 3 + 2 pulses every 8 s, 3 every 10 s, 2 once.
    const std::map<std::string, std::vector<std::int64_t>> expected = {
        {"high", {0, 1, 2, 3, 4, 5, 8, 9, 10, 11, 16, 17}},
        {"medium", {0, 1, 2, 3, 4, 5, 20, 21, 22, 23, 24, 25}},
        {"low", {0, 1, 2, 3}},
    };
    for (const auto& [priority, edges] : expected) {
        CAPTURE(priority);
        StationPlan plan = runaway();
        plan.alarms = R"({"bean_high_high":{"priority":")" + priority + R"("}})";
        StationRun station(plan);
        await_changes(station, 0, edges.size());
        const Tablet tablet(station);
        const auto seen = tablet.status()["sequence"].get<std::int64_t>();
        tablet.until("three rounds more", [&](const auto& now) { return now["sequence"] >= seen + 120; });
        station.stop();
        const auto changes = switched(station, 0);
        if (priority == "low") CHECK(changes.size() == edges.size());  // once, and no more
        REQUIRE(changes.size() >= edges.size());
        for (std::size_t i = 0; i < edges.size(); ++i) {
            CHECK(changes[i].on == (i % 2 == 0));
            CHECK(changes[i].sim_ms - changes[0].sim_ms == edges[i] * 500);
        }
        for (std::size_t i = 0; i + 1 < changes.size(); ++i)
            if (changes[i].on) CHECK(changes[i + 1].sim_ms - changes[i].sim_ms <= 1'000);
    }
}

TEST_CASE("a command is started when the alarm begins, with its priority") {
    TempDir folder;
    const std::string script = folder.file("player");
    const std::string played = folder.file("played");
    std::ofstream(script) << "#!/bin/sh\necho $1 > " << played << "\n";
    std::filesystem::permissions(script, std::filesystem::perms::owner_all);
    StationPlan plan = runaway();
    plan.sounders = R"([{"kind":"coil","name":"horn","bus":"machine","coil":0},
                        {"kind":"command","name":"player","command":[")" +
                    script + R"(","{priority}"]}])";
    StationRun station(plan);
    await_changes(station, 0, 1);  // within the on-delay and two ticks, as above
    const auto began = std::chrono::steady_clock::now();
    std::string priority;
    while (priority.empty() && std::chrono::steady_clock::now() - began < 60s) {
        std::ifstream file(played);
        file >> priority;
        std::this_thread::sleep_for(5ms);  // between looks at a file
    }
    const auto took = std::chrono::steady_clock::now() - began;
    CHECK(priority == "high");
    CHECK(took < 5s);  // a program is started, on a busy machine
    station.stop();
}

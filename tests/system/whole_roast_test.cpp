// Simulator and daemon as real processes over TCP, for whole roasts in stepped time. The daemon's watch
// begins at the simulator's first answer, so that both count the same milliseconds.
#include <doctest/doctest.h>

#include <cmath>
#include <nlohmann/json.hpp>

#include "core/words.hpp"
#include "station.hpp"
#include "support/raw_client.hpp"

using namespace drumwatch;

namespace {

/// Daemon minus truth, in seconds.
double error_s(const StationRun& station, const RoastRecord& roast, Milestone milestone, const char* event,
               int batch = 1) {
    const auto& found = roast.milestones[static_cast<std::size_t>(milestone)];
    REQUIRE(found);
    return static_cast<double>(found->at.ms - station.first(event, batch).sim_ms) / 1000;
}

StationPlan one_batch(std::vector<std::string> more = {}) {
    StationPlan plan;
    plan.simulator = {"--batches", "1", "--exit-after-batches"};
    plan.simulator.insert(plan.simulator.end(), more.begin(), more.end());
    return plan;
}

Disposition disposition(const RoastRecord& roast) {
    REQUIRE(roast.verdict);
    return roast.verdict->disposition;
}

}  // namespace

TEST_CASE("an on-schedule roast of each machine: milestones true, curve clear, every reading kept") {
    for (const char* machine : {"sample-drum", "drum", "hot-air"}) {
        CAPTURE(machine);
        StationPlan plan = one_batch({"--seed", "11"});
        plan.machine = machine;
        StationRun station(plan);
        station.to_the_end();
        const RoastRecord roast = station.roast(1);
        const double charge = error_s(station, roast, Milestone::charge, "charge");
        const double turning = error_s(station, roast, Milestone::turning_point, "turning_point");
        const double drop = error_s(station, roast, Milestone::drop, "drop");
        INFO("errors, s: charge ", charge, ", turning point ", turning, ", drop ", drop, "; ", roast.reasons);
        CHECK(std::fabs(charge) <= 1.0);
        CHECK(std::fabs(turning) <= 4.0);
        CHECK(std::fabs(drop) <= 3.0);
        CHECK(disposition(roast) == Disposition::clear);
        CHECK(roast.state == RoastState::finished);

        const auto frames = station.frames();
        REQUIRE(frames.size() > 1000);
        for (std::size_t i = 1; i < frames.size(); ++i) REQUIRE(frames[i].tick - frames[i - 1].tick == 250);
        for (const EventRow& event : station.events())
            CHECK_MESSAGE(event.kind != "alarm_raised", event.text);
        CHECK_MESSAGE(roast.verdict->reasons.empty(), roast.reasons);
        CHECK(station.roasts() == 1);
    }
}

TEST_CASE("a recorded watch is shown on a page: it moves on, and nothing can be told it") {
    StationRun station(one_batch({"--seed", "11"}));
    station.to_the_end();
    ChildProcess shown(station.show_arguments(1, {"--speed", "20", "--from", "200"}));
    const std::string page = shown.expect_line("page: ", std::chrono::seconds(60));
    RawClient tablet(static_cast<std::uint16_t>(std::stoi(page.substr(page.rfind(':') + 1))));
    const auto now = [&] { return nlohmann::json::parse(tablet.get("/api/status").body); };
    const auto first = now();
    CHECK(first["station"].get<std::string>().starts_with("rerun: watch 1"));
    CHECK(first["sequence"].get<int>() > 200 * 4);
    CHECK(first["roast"]["id"] == 1);
    CHECK(tablet.post("/api/marks", R"({"mark":"yellow","client_id":"t-1"})").status == 409);
    std::string name = first["target"]["name"];
    for (std::size_t at; (at = name.find(' ')) != std::string::npos;) name.replace(at, 1, "%20");
    CHECK(tablet.get("/api/targets/" + name).status == 200);
    while (now()["sequence"] <
           first["sequence"].get<int>() + 40) {  // ends by what it finds; ctest stops a hang
    }
    shown.send_signal(SIGINT);
    const auto status = shown.wait(std::chrono::seconds(60));
    REQUIRE(status);
    CHECK(*status == 0);
}

TEST_CASE("one burner move 45 s late: not clear, and the late move is among the first two reasons") {
    StationRun station(one_batch({"--seed", "11", "--move-late", "3:45"}));
    station.to_the_end();
    const RoastRecord roast = station.roast(1);
    CHECK(disposition(roast) != Disposition::clear);
    bool told = false;
    for (std::size_t i = 0; i < roast.verdict->reasons.size() && i < 2; ++i) {
        const Reason& reason = roast.verdict->reasons[i];
        if (reason.rule == VerdictRule::move_off) told = std::fabs(reason.value - 45) <= 2;
    }
    CHECK_MESSAGE(told, roast.reasons);
    // The terminal says them too.
    for (const Reason& reason : roast.verdict->reasons)
        CHECK_MESSAGE(station.log().find("reason: " + words(reason)) != std::string::npos, station.log());
}

TEST_CASE("without a target nothing is judged") {
    StationPlan plan = one_batch({"--seed", "11"});
    plan.with_target = false;
    StationRun station(plan);
    station.to_the_end();
    const RoastRecord roast = station.roast(1);
    CHECK(disposition(roast) == Disposition::unjudged);
    CHECK(std::fabs(error_s(station, roast, Milestone::charge, "charge")) <= 1.0);
}

TEST_CASE("overtemperature: the sounder's coil is written within the on-delay and two ticks") {
    StationPlan plan = one_batch({"--seed", "11", "--fault", "runaway@400"});
    plan.with_target = false;  // or drift would sound first
    StationRun station(plan);
    station.await_truth("coil", "\"on\":true");
    station.stop();
    std::int64_t over_since = -1;
    for (const Frame& frame : station.frames()) {
        const bool over = frame.samples[0].quality == Quality::good && frame.samples[0].value_milli > 240'000;
        if (!over) over_since = -1;
        if (over && over_since < 0) over_since = frame.tick.ms;
        if (over && frame.tick.ms - over_since >= 3'000) break;
    }
    REQUIRE(over_since > 0);
    std::int64_t sounded = -1;
    for (const Truth& line : station.truth()) {
        if (line.event == "coil" && sounded < 0) sounded = line.sim_ms;
    }
    const std::int64_t after_ms = sounded - over_since;
    INFO("coil written ", after_ms, " ms after the first reading above the limit");
    CHECK(after_ms >= 3'000);
    CHECK(after_ms <= 3'000 + 2 * 250);
}

TEST_CASE("a dead bean probe sounds") {
    StationRun station(one_batch({"--seed", "11", "--fault", "open-bean@200"}));
    station.await_truth("coil", "\"on\":true");
    station.stop();
    std::int64_t dead = -1;
    for (const Truth& line : station.truth()) {
        if (line.event == "fault" && dead < 0) dead = line.sim_ms;
        if (line.event != "coil") continue;
        CHECK(line.sim_ms - dead >= 500);
        CHECK(line.sim_ms - dead <= 1'500);
        break;
    }
    CHECK(dead > 0);
}

TEST_CASE("a dead bus sounds on the relay board beside it") {
    StationPlan plan;
    plan.simulator = {"--seed", "11", "--fault", "dead-bus@5"};
    plan.stepped = false;
    plan.speed = 4;
    plan.relay_board = true;
    StationRun station(plan);
    station.await_truth("coil", "\"on\":true", true);
    station.stop();
    bool told = false;
    for (const EventRow& event : station.events()) {
        told = told || (event.kind == "alarm_raised" && event.body.find("bus_silent") != std::string::npos);
    }
    CHECK(told);
}

TEST_CASE("bean probe over the serial stream, the rest over Modbus, two batches overlap and both are right") {
    StationPlan plan;
    plan.simulator = {"--seed", "11", "--batches", "2", "--exit-after-batches"};
    plan.serial_bean = true;
    StationRun station(plan);
    station.to_the_end();
    for (int batch = 1; batch <= 2; ++batch) {
        CAPTURE(batch);
        const RoastRecord roast = station.roast(static_cast<std::uint64_t>(batch));
        CHECK(std::fabs(error_s(station, roast, Milestone::charge, "charge", batch)) <= 1.0);
        CHECK(std::fabs(error_s(station, roast, Milestone::turning_point, "turning_point", batch)) <= 4.0);
        CHECK(std::fabs(error_s(station, roast, Milestone::drop, "drop", batch)) <= 3.0);
        CHECK_MESSAGE(disposition(roast) == Disposition::clear, roast.reasons);
    }
    // The second was in the drum while the first was still in the tray.
    const std::int64_t second_charge = station.first("charge", 2).sim_ms;
    std::int64_t first_cool = 0;
    for (const EventRow& event : station.events()) {
        if (event.kind == "cooling_ended" && event.roast == 1) first_cool = event.tick_ms;
    }
    CHECK(first_cool > second_charge);
}

TEST_CASE("a recorded roast, exported and run again, has the same milestones, moves and verdict") {
    StationPlan plan;
    plan.simulator = {"--seed", "5", "--batches", "1", "--exit-after-batches", "--move-late", "2:45"};
    StationRun station(plan);
    station.to_the_end();
    const RoastRecord live = station.roast(1);
    REQUIRE(live.verdict);
    const auto again = nlohmann::json::parse(station.rerun_of_export(1));
    CHECK(again["verdict"]["disposition"] == std::string(name(live.verdict->disposition)));
    for (const Milestone milestone :
         {Milestone::turning_point, Milestone::yellow, Milestone::first_crack, Milestone::drop}) {
        CAPTURE(name(milestone));
        const auto& was = live.milestones[static_cast<std::size_t>(milestone)];
        REQUIRE(was);
        const double at_s = again["milestones"][std::string(name(milestone))]["at_s"].get<double>();
        CHECK(std::fabs(at_s - seconds_between(live.charge, was->at)) <= 0.25);  // one tick
    }
    const auto moves = nlohmann::json::parse(live.moves);
    REQUIRE(again["moves"].size() == moves.size());
    for (std::size_t i = 0; i < moves.size(); ++i) CHECK(again["moves"][i]["judged"] == moves[i]["judged"]);
}

// What the service manager is told. The names of the messages are those of the sd_notify(3) manual page.
#include "service/service_manager.hpp"

#include <doctest/doctest.h>

#include <fstream>
#include <string>
#include <vector>

using namespace drumwatch;
using namespace std::chrono_literals;

namespace {

struct Told {
    std::vector<std::string> messages;
    ServiceManager manager{[this](const std::string& message) { messages.push_back(message); }};
    ServiceManager::Instant now{1000s};
    RecorderStatus record;
    Snapshot snapshot;

    /// Ticks four times a second for so long; how often the watchdog was fed.
    int run(std::chrono::seconds how_long, bool recorder_turns = true) {
        const std::size_t before = messages.size();
        for (const auto end = now + how_long; now < end; now += 250ms) {
            if (recorder_turns) ++record.turns;
            manager.ticked(now, record, snapshot);
        }
        int fed = 0;
        for (std::size_t i = before; i < messages.size(); ++i)
            fed += messages[i].find("WATCHDOG=1") != std::string::npos ? 1 : 0;
        return fed;
    }
};

}  // namespace

TEST_CASE("the first tick makes the daemon ready, once, and says how it is") {
    Told told;
    told.run(3s);
    REQUIRE(!told.messages.empty());
    CHECK(told.messages[0] == "WATCHDOG=1\nREADY=1\nSTATUS=Watching: nothing in the drum");
    for (std::size_t i = 1; i < told.messages.size(); ++i) CHECK(told.messages[i] == "WATCHDOG=1");
}

TEST_CASE("the watchdog is fed once a second while ticks are made") {
    Told told;
    CHECK(told.run(60s) == 60);
}

TEST_CASE("the slowest tick there is, early and late in turn, feeds within half of what the unit allows") {
    // Half: sd_watchdog_enabled(3).
    std::ifstream unit(DRUMWATCH_SOURCE_DIR "/conf/drumwatch.service");
    std::string line;
    int allowed_s = 0;
    while (std::getline(unit, line))
        if (line.starts_with("WatchdogSec=")) allowed_s = std::stoi(line.substr(line.find('=') + 1));
    REQUIRE(allowed_s > 0);
    Told told;
    ServiceManager::Instant fed = told.now;
    for (int i = 0; i < 60; ++i) {
        const std::size_t before = told.messages.size();
        ++told.record.turns;
        told.manager.ticked(told.now, told.record, told.snapshot);
        if (told.messages.size() > before) fed = told.now;
        told.now += i % 2 == 0 ? 700ms : 1300ms;  // 1000 ms, on a box with much else to do
        CHECK(told.now - fed <= std::chrono::seconds(allowed_s) / 2);
    }
}

TEST_CASE("a recorder thread that makes no turn stops the feeding after its time, and not before") {
    Told told;
    told.run(10s);
    CHECK(told.run(15s, false) >= 14);
    CHECK(told.run(30s, false) <= 1);
    CHECK(told.run(10s) >= 9);  // it goes on: so does the feeding
}

TEST_CASE("a disk that doesn't answer, or fails, is no reason to start anew") {
    Told told;
    told.run(1s);
    told.record.at_disk = true;
    CHECK(told.run(300s, false) >= 299);
    told.record.at_disk = false;
    told.record.writing = false;
    told.record.complaint = "disk I/O error";
    CHECK(told.run(300s) >= 299);
    CHECK(told.messages[told.messages.size() - 299].find("WATCHDOG") == 0);
    bool said = false;
    for (const std::string& message : told.messages)
        said = said || message.find(
                           "STATUS=Watching: nothing in the drum; the record can't be written: disk I/O "
                           "error") != std::string::npos;
    CHECK(said);
}

TEST_CASE(
    "a stepped station whose simulator is gone is fed by its rounds of polls, but not made ready by them") {
    Told told;
    told.manager.polled(told.now);
    CHECK(told.messages.empty());
    told.run(1s);
    const std::size_t before = told.messages.size();
    for (int i = 0; i < 500; ++i) told.manager.polled(told.now += 20ms);
    CHECK(told.messages.size() - before == 10);
}

TEST_CASE("what lasts longer than a start may is announced with its time") {
    Told told;
    told.manager.busy("Checking", 90s);
    CHECK(told.messages[0] == "EXTEND_TIMEOUT_USEC=90000000\nSTATUS=Checking");
    CHECK(opening_time(0) == 60s);
    CHECK(opening_time(4'000'000'000) == 860s);
}

TEST_CASE("what is in the drum and in the tray is said") {
    Snapshot snapshot;
    snapshot.roast = RoastView{};
    snapshot.roast->id = 12;
    snapshot.cooling = CoolingView{};
    snapshot.cooling->id = 11;
    RecorderStatus record;
    CHECK(station_sentence(snapshot, record) == "Watching: roast 12 in the drum, roast 11 in the tray");
    snapshot.roast.reset();
    record.disk_low = true;
    record.free_mb = 90;
    CHECK(station_sentence(snapshot, record) ==
          "Watching: roast 11 in the tray; only 90 MB of the disk are free");
    snapshot.cooling.reset();
    record.disk_low = false;
    snapshot.silent_buses = 4;
    CHECK(station_sentence(snapshot, record) == "Watching: nothing in the drum; a bus is silent");
    snapshot.silent_buses = 5;
    CHECK(station_sentence(snapshot, record) == "Watching: nothing in the drum; 2 buses are silent");
}

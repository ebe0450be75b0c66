// Sounders and buttons of the box within the station: real threads and commands, over a recording of the
// kernel's GPIO protocol (support/made_gpio_chip.hpp), not hardware.
#include "service/sounder_room.hpp"

#include <doctest/doctest.h>
#include <sys/stat.h>

#include <chrono>
#include <fstream>
#include <mutex>
#include <thread>

#include "support/made_gpio_chip.hpp"
#include "support/temp_dir.hpp"

using namespace drumwatch;

namespace {

class RealClock : public Clock {
  public:
    std::int64_t steady_ms() const override {
        const auto now = std::chrono::steady_clock::now().time_since_epoch();
        return std::chrono::duration_cast<std::chrono::milliseconds>(now).count();
    }
    WallTime wall() const override { return {1'700'000'000'000}; }
};

struct Box {
    TempDir folder;
    RealClock clock;
    std::string path = folder.file("gpiochip7");
    MadeGpioChip chip{path, "made-expander", 16, [this] { return clock.steady_ms(); }};
    Config config;
    std::mutex mutex;
    std::vector<std::function<void()>> posted;
    std::vector<std::size_t> presses;
    std::unique_ptr<LatestReadings> latest;
    std::unique_ptr<BusRoom> buses;
    std::unique_ptr<SounderRoom> room;
    Snapshot now;
    std::vector<Observation> told;

    Box() {
        config.chirp_at_start = false;
        add_line("horn", 3);
    }
    void add_line(const char* name, std::uint32_t offset) {
        SounderConfig sounder;
        sounder.name = sounder.output.name = name;
        sounder.output.line = {path, offset, false};
        config.sounders.push_back(sounder);
    }
    std::string add_command(const char* name) {
        SounderConfig sounder;
        sounder.name = sounder.output.name = name;
        sounder.output.kind = SounderKind::command;
        sounder.output.command = {folder.file(name), "{priority}"};
        config.sounders.push_back(sounder);
        return sounder.output.command[0];
    }
    void start() {
        const auto post = [this](std::function<void()> work) {
            const std::lock_guard lock(mutex);
            posted.push_back(std::move(work));
        };
        latest = std::make_unique<LatestReadings>(config.channels);
        buses = std::make_unique<BusRoom>(config, *latest, post, [](std::size_t, auto) {});
        room = std::make_unique<SounderRoom>(config, *buses, clock, post, [this, post](std::size_t button) {
            post([this, button] { presses.push_back(button); });
        });
    }
    void tick() {
        std::vector<std::function<void()>> work;
        {
            const std::lock_guard lock(mutex);
            work.swap(posted);
        }
        for (const auto& one : work) one();
        now.tick = now.tick + 250;
        for (const Observation& one : room->judge(now.tick)) told.push_back(one);
        room->drive(now);
    }
    bool until(const std::function<bool()>& done) {
        const auto give_up = std::chrono::steady_clock::now() + std::chrono::seconds(60);
        while (std::chrono::steady_clock::now() < give_up) {
            tick();
            if (done()) return true;
            std::this_thread::sleep_for(std::chrono::milliseconds(5));  // the sounder thread's own time
        }
        return false;
    }
    bool was_told(Health health, std::uint8_t index, bool bad) const {
        return std::any_of(told.begin(), told.end(), [&](const Observation& one) {
            return one.health == health && one.index == index && one.bad == bad;
        });
    }
};

}  // namespace

TEST_CASE("a sounder that can't be reached is told by its number, the others sound, and it comes back") {
    Box box;
    const std::string player = box.add_command("player");
    box.add_line("second horn", 5);
    box.start();
    box.now.sounder.pattern = Pattern::high;
    CHECK(box.until([&] { return box.was_told(Health::sounder_failed, 1, true); }));
    CHECK(box.room->why(1).find(player) != std::string::npos);
    CHECK_FALSE(box.room->states()[1].working);
    CHECK(box.room->states()[0].working);
    CHECK(box.until([&] { return box.chip.switched().size() > 8; }));
    box.chip.unplug();
    CHECK(box.until([&] { return box.was_told(Health::sounder_failed, 2, true); }));
    CHECK(box.until([&] { return box.was_told(Health::sounder_failed, 0, true); }));
    // Both have failed; the command is there now and plays.
    const std::string played = box.folder.file("played");
    std::ofstream(player) << "#!/bin/sh\necho $1 > " << played << "\n";
    REQUIRE(::chmod(player.c_str(), 0755) == 0);
    CHECK(box.until([&] { return box.was_told(Health::sounder_failed, 1, false); }));
    CHECK(box.until([&] {
        std::ifstream file(played);
        std::string priority;
        return file >> priority && priority == "high";
    }));
    box.chip.plug_in();
    CHECK(box.until([&] { return box.was_told(Health::sounder_failed, 0, false); }));
    CHECK(box.until([&] { return box.was_told(Health::sounder_failed, 2, false); }));
}

TEST_CASE("what the engine was told before a restart is told once more only where it has changed") {
    Box box;
    box.start();
    box.room->stands(1);
    CHECK(box.until([&] { return box.was_told(Health::sounder_failed, 0, false); }));
    CHECK(box.told.size() == 1);
}

TEST_CASE("a test chirps each sounder, tells how it did, and is refused while an alarm sounds") {
    Box box;
    box.add_command("player");  // is not there
    box.start();
    box.now.sounder.pattern = Pattern::medium;
    CHECK(box.room->test(box.now, "left tablet").status == 409);
    box.now.sounder.pattern = Pattern::off;
    box.tick();
    CHECK_FALSE(box.room->states()[0].tested_at);
    CHECK(box.room->test(box.now, "left tablet").status == 200);
    CHECK(box.until([&] { return box.was_told(Health::sounder_tested, 0, false); }));
    CHECK(box.until([&] { return box.was_told(Health::sounder_tested, 1, true); }));
    REQUIRE(box.room->states()[0].tested_at);
    CHECK(box.room->states()[0].tested_at->unix_ms == 1'700'000'000'000);
    CHECK_FALSE(box.room->states()[1].working);
    const auto switched = box.chip.switched();
    CHECK(std::count_if(switched.begin(), switched.end(), [](const auto& one) { return one.level; }) == 1);
    Box none;
    none.config.sounders.clear();
    none.start();
    CHECK(none.room->test(none.now, "").text == "no sounder is configured");
}

TEST_CASE("the chirp at the start is one short pulse, and none where it is not wanted") {
    Box box;
    box.config.chirp_at_start = true;
    box.start();
    CHECK(box.until([&] { return box.was_told(Health::sounder_tested, 0, false); }));
    const auto switched = box.chip.switched();
    CHECK(std::count_if(switched.begin(), switched.end(), [](const auto& one) { return one.level; }) == 1);
}

TEST_CASE(
    "a button of the box is told by its number in the configuration, and one that can't be read is said") {
    Box box;
    ButtonConfig on_a_bus;
    on_a_bus.bus = 0;
    ButtonConfig stop;
    stop.name = stop.line.name = "stop the noise";
    stop.line.line = {box.path, 7, false};
    ButtonConfig lost = stop;
    lost.name = lost.line.name = "lost";
    lost.line.line.chip = box.folder.file("gpiochip8");
    box.config.buttons = {on_a_bus, stop, lost};
    box.start();
    CHECK(box.until([&] { return box.chip.held(7).has_value(); }));
    box.chip.drive(7, true);
    CHECK(box.until([&] { return !box.presses.empty(); }));
    CHECK(box.presses == std::vector<std::size_t>{1});
    REQUIRE(box.room->complaints().size() == 1);
    CHECK(box.room->complaints()[0].find("button lost: ") == 0);
}

// How the box is: told when it changes, and once. Temperatures come from files as the kernel keeps them
// (thousandths of a degree, one folder a zone; Documentation/ABI/testing/sysfs-class-thermal of the kernel).
#include "service/box_health.hpp"

#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>

#include "support/temp_dir.hpp"

using namespace drumwatch;

namespace {

/// Only what the box says of that: whether the machine's own clock is synchronised is not this test's matter.
std::vector<Observation> of(Health health, const std::vector<Observation>& all) {
    std::vector<Observation> some;
    for (const Observation& one : all)
        if (one.health == health) some.push_back(one);
    return some;
}

struct Box {
    TempDir sys;
    BoxHealth health;

    explicit Box(const Config& config)
        : health(
              config, [](auto work) { work(); }, [](auto work) { work(); }, sys.file("")) {}

    void zone(const char* name, const char* milli_c) const {
        const std::string folder = sys.file(std::string("class/thermal/") + name);
        std::filesystem::create_directories(folder);
        std::ofstream(folder + "/temp") << milli_c << "\n";
    }
    std::vector<Observation> judge(std::int64_t now_ms, Health which) {
        return of(which, health.judge({now_ms}, {}, {}));
    }
};

class HandSetClock : public Clock {
  public:
    void set_by(std::int64_t ms) { wall_.unix_ms += ms; }
    std::int64_t steady_ms() const override { return 0; }
    WallTime wall() const override { return wall_; }

  private:
    WallTime wall_{1'700'000'000'000};
};

Config stepped() {
    Config config;
    config.simulated.emplace();
    config.simulated->stepped = true;
    return config;
}

}  // namespace

TEST_CASE("the hottest sensor says that the box is too hot, until it is cooler by some degrees") {
    Box box{Config{}};
    box.zone("thermal_zone0", "52000");
    box.zone("thermal_zone1", "84900");
    CHECK(box.judge(0, Health::processor_hot).empty());
    box.zone("thermal_zone1", "85000");
    CHECK(box.judge(9'999, Health::processor_hot).empty());  // not asked yet
    const auto hot = box.judge(10'000, Health::processor_hot);
    REQUIRE(hot.size() == 1);
    CHECK(hot[0].bad);
    CHECK(hot[0].tick == Tick{10'000});
    box.zone("thermal_zone1", "80000");
    CHECK(box.judge(20'000, Health::processor_hot).empty());
    box.zone("thermal_zone1", "79900");
    const auto cool = box.judge(30'000, Health::processor_hot);
    REQUIRE(cool.size() == 1);
    CHECK_FALSE(cool[0].bad);
}

TEST_CASE("a box without a sensor, or with one that can't be read, is not too hot") {
    Box box{Config{}};
    CHECK(box.judge(0, Health::processor_hot).empty());
    box.zone("thermal_zone0", "");
    box.zone("cooling_device0", "high");
    CHECK(box.judge(10'000, Health::processor_hot).empty());
}

TEST_CASE("a stepped station is as fast as it can be: its box is not asked") {
    Box box{stepped()};
    box.zone("thermal_zone0", "95000");
    CHECK(box.judge(0, Health::processor_hot).empty());
}

TEST_CASE("after a box goes on, what was told already is told when it is over only") {
    Box box{Config{}};
    box.health.stands(1u << static_cast<unsigned>(Health::processor_hot) |
                      1u << static_cast<unsigned>(Health::clock_stepped));
    box.zone("thermal_zone0", "82000");
    CHECK(box.judge(0, Health::processor_hot).empty());
    box.zone("thermal_zone0", "70000");
    REQUIRE(box.judge(10'000, Health::processor_hot).size() == 1);
}

TEST_CASE("a clock that was set is told for a minute, but not where nothing had set it before") {
    // As synchronised as the machine's own clock, whatever that is: asked at the first look only.
    Box box{Config{}};
    HandSetClock clock;
    box.health.begin({0});
    const bool nothing_sets_it = !box.judge(0, Health::clock_unsynchronised).empty();
    CHECK_FALSE(box.health.look_at_clock(clock, {0}));
    clock.set_by(2'000);
    CHECK_FALSE(box.health.look_at_clock(clock, {250}));  // a step of 2 s is none yet
    clock.set_by(3'600'000);
    const auto began = box.health.look_at_clock(clock, {500});
    REQUIRE(began);
    CHECK(began->unix_ms == clock.wall().unix_ms - 500);
    CHECK(box.judge(500, Health::clock_stepped).size() == (nothing_sets_it ? 0 : 1));
    CHECK(box.judge(60'250, Health::clock_stepped).empty());
    const auto over = box.judge(60'500, Health::clock_stepped);
    CHECK(over.size() == (nothing_sets_it ? 0 : 1));
    for (const Observation& change : over) CHECK_FALSE(change.bad);

    Box never_set{stepped()};
    CHECK_FALSE(never_set.health.look_at_clock(clock, {0}));
    clock.set_by(3'600'000);
    CHECK_FALSE(never_set.health.look_at_clock(clock, {250}));  // a simulated station has days of its own
}

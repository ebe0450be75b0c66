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
    Box box{stepped()};
    CHECK(box.judge(0, Health::clock_stepped).empty());
    box.health.clock_stepped({500});
    const auto set = box.judge(750, Health::clock_stepped);
    REQUIRE(set.size() == 1);
    CHECK(set[0].bad);
    CHECK(box.judge(60'250, Health::clock_stepped).empty());
    const auto over = box.judge(60'500, Health::clock_stepped);
    REQUIRE(over.size() == 1);
    CHECK_FALSE(over[0].bad);

    Box never_set{stepped()};
    never_set.health.stands(1u << static_cast<unsigned>(Health::clock_unsynchronised));
    never_set.health.clock_stepped({500});
    CHECK(never_set.judge(750, Health::clock_stepped).empty());
}

// Clock, temperature, memory and disk of the box. The files' forms are those of the kernel's documentation
// (thermal sysfs, proc_meminfo(5)); the limits are judgement, without a source.
#include <doctest/doctest.h>

#include <filesystem>
#include <fstream>

#include "doctor/doctor.hpp"
#include "support/temp_dir.hpp"

using namespace drumwatch;
namespace fs = std::filesystem;

namespace {

struct Kernel {
    TempDir folder;
    KernelFiles files{folder.file("sys"), folder.file("proc")};

    void write(const std::string& name, const std::string& text) const {
        const fs::path path = folder.file(name);
        fs::create_directories(path.parent_path());
        std::ofstream(path) << text;
    }
};

}  // namespace

TEST_CASE("the hottest sensor counts") {
    Kernel kernel;
    CHECK(look_at_temperature(kernel.files).state == FindingState::well);
    kernel.write("sys/class/thermal/thermal_zone0/temp", "41200\n");
    kernel.write("sys/class/thermal/thermal_zone1/temp", "74900\n");
    kernel.write("sys/class/thermal/cooling_device0/type", "fan\n");
    CHECK(look_at_temperature(kernel.files).state == FindingState::well);
    CHECK(look_at_temperature(kernel.files).text == "75 °C inside the box");
    kernel.write("sys/class/thermal/thermal_zone1/temp", "75000\n");
    CHECK(look_at_temperature(kernel.files).state == FindingState::look);
    kernel.write("sys/class/thermal/thermal_zone0/temp", "85000\n");
    const Finding hot = look_at_temperature(kernel.files);
    CHECK(hot.state == FindingState::broken);
    CHECK(!hot.advice.empty());
}

TEST_CASE("memory is what the kernel calls available") {
    Kernel kernel;
    CHECK(look_at_memory(kernel.files).state == FindingState::look);
    const auto with_mb = [&](int mb) {
        kernel.write("proc/meminfo",
                     "MemTotal:        1000000 kB\nMemFree:          10 kB\nMemAvailable:   " +
                         std::to_string(mb * 1024) + " kB\nBuffers: 1 kB\n");
        return look_at_memory(kernel.files);
    };
    CHECK(with_mb(400).text == "400 MB available");
    CHECK(with_mb(256).state == FindingState::well);
    CHECK(with_mb(255).state == FindingState::look);
    CHECK(with_mb(63).state == FindingState::broken);
}

TEST_CASE("a clock that follows nothing is to be looked at, and a missing battery clock is said") {
    Kernel kernel;
    CHECK(look_at_clock(true, kernel.files).state == FindingState::well);
    CHECK(look_at_clock(true, kernel.files).text.find("no battery clock") != std::string::npos);
    kernel.write("sys/class/rtc/rtc0/name", "rtc\n");
    CHECK(look_at_clock(true, kernel.files).text == "follows a time server");
    const Finding adrift = look_at_clock(false, kernel.files);
    CHECK(adrift.state == FindingState::look);
    CHECK(!adrift.advice.empty());
}

TEST_CASE("the disk is timed beside the record, and nothing stays there") {
    TempDir folder;
    RecordConfig record;
    record.path = folder.file("record.sqlite");
    record.budget_mb = 1;
    const auto findings = look_at_disk(record);
    REQUIRE(findings.size() == 2);
    CHECK(findings[0].topic == "disk space");
    CHECK(findings[0].state == FindingState::well);
    CHECK(findings[1].text.find("a small write is safe on the disk after") == 0);
    CHECK(fs::is_empty(folder.path()));
    record.budget_mb = std::int64_t{1} << 40;  // more than any disk of ours
    const Finding small = look_at_disk(record)[0];
    CHECK(small.state == FindingState::look);
    CHECK(small.advice.find("budget_mb") != std::string::npos);
}

TEST_CASE("a folder that isn't there, and a file system that takes no files, are broken") {
    RecordConfig record;
    record.path = "/nowhere/at/all/record.sqlite";
    const auto missing = look_at_disk(record);
    REQUIRE(missing.size() == 1);
    CHECK(missing[0].state == FindingState::broken);
    record.path = "/proc/record.sqlite";  // a file system on which nobody makes files
    CHECK(worst(look_at_disk(record)) == FindingState::broken);
}

TEST_CASE("the worst finding counts") {
    CHECK(worst({}) == FindingState::well);
    CHECK(worst({{"a", FindingState::well, "", ""}, {"b", FindingState::look, "", ""}}) ==
          FindingState::look);
    CHECK(worst({{"a", FindingState::broken, "", ""}, {"b", FindingState::look, "", ""}}) ==
          FindingState::broken);
}

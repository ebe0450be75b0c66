#include <fmt/format.h>

#include <algorithm>
#include <filesystem>
#include <fstream>

#include "doctor/doctor.hpp"
#include "service/box_clock.hpp"
#include "service/box_heat.hpp"

namespace drumwatch {

namespace {

namespace fs = std::filesystem;

constexpr double kWarm_c = 75;
constexpr std::int64_t kScarce_mb = 256;
constexpr std::int64_t kNone_mb = 64;

bool has_battery_clock(const KernelFiles& files) {
    std::error_code none;
    fs::directory_iterator clocks(files.sys + "/class/rtc", none);
    return !none && clocks != fs::directory_iterator();
}

std::optional<std::int64_t> available_mb(const KernelFiles& files) {
    std::ifstream file(files.proc + "/meminfo");
    std::string key;
    for (std::string rest; file >> key; std::getline(file, rest)) {
        std::int64_t kb = 0;
        if (key == "MemAvailable:" && file >> kb) return kb / 1024;
    }
    return std::nullopt;
}

}  // namespace

Finding look_at_clock(bool synchronised, const KernelFiles& files) {
    const std::string battery =
        has_battery_clock(files) ? "" : "; this box has no battery clock, so it starts with a wrong time";
    if (synchronised) return {"clock", FindingState::well, "follows a time server" + battery, ""};
    return {"clock", FindingState::look, "is not set by any time server" + battery,
            "Run a time service (systemd-timesyncd) and let the box reach a time server, the router for one: "
            "until "
            "then the record's times may be wrong and a roast across a power cut is unjudged."};
}

Finding look_at_temperature(const KernelFiles& files) {
    const auto hottest = hottest_c(files.sys);
    if (!hottest) return {"temperature", FindingState::well, "this box has no sensor of its own", ""};
    Finding finding{"temperature", FindingState::well, fmt::format("{:.0f} °C inside the box", *hottest), ""};
    if (*hottest >= kWarm_c) {
        finding.state = *hottest >= kHot_c ? FindingState::broken : FindingState::look;
        finding.advice = "Clean the dust out, give it air, hang it further from the machine.";
    }
    return finding;
}

Finding look_at_memory(const KernelFiles& files) {
    const auto free = available_mb(files);
    if (!free) return {"memory", FindingState::look, "can't be read", ""};
    Finding finding{"memory", FindingState::well, fmt::format("{} MB available", *free), ""};
    if (*free < kScarce_mb) {
        finding.state = *free < kNone_mb ? FindingState::broken : FindingState::look;
        finding.advice = "See what else runs on this box (top) and end what isn't needed.";
    }
    return finding;
}

std::vector<Finding> examine_box(const KernelFiles& files) {
    return {look_at_clock(clock_synchronised(), files), look_at_temperature(files), look_at_memory(files)};
}

}  // namespace drumwatch

#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <chrono>
#include <cstring>
#include <thread>

#include "doctor/doctor.hpp"
#include "drivers/driver.hpp"
#include "sounders/command_process.hpp"

namespace drumwatch {

namespace {

using std::chrono::milliseconds;

constexpr milliseconds kLongestLook{10'000};
constexpr milliseconds kBetweenPolls{50};

/// A serial port before it is opened; nothing where all is well.
std::optional<Finding> look_at_device(const BusConfig& bus) {
    const std::string topic = "serial port " + bus.name;
    struct stat device {};
    if (::stat(bus.device.c_str(), &device) != 0) {
        return Finding{
            topic, FindingState::broken, fmt::format("{}: {}", bus.device, std::strerror(errno)),
            "See that the adapter is plugged in (ls -l /dev/serial/by-id/) and that the configuration "
            "names that port."};
    }
    if (!S_ISCHR(device.st_mode)) {
        return Finding{topic, FindingState::broken, fmt::format("{} is no serial port", bus.device),
                       "Name a port of /dev/serial/by-id/ in the configuration."};
    }
    if (auto rights = look_at_rights(bus.device, kDaemonUser)) {
        rights->topic = topic;
        return rights;
    }
    if (bus.device.starts_with("/dev/ttyUSB") || bus.device.starts_with("/dev/ttyACM")) {
        return Finding{topic, FindingState::look,
                       fmt::format("{} is a name that changes with the order of plugging in", bus.device),
                       "Use the port's stable name in /dev/serial/by-id/."};
    }
    return std::nullopt;
}

/// Opens the link with the daemon's own driver and reads until something came or the time is up.
Finding ask(const BusConfig& bus) {
    const auto driver = make_driver(bus, 1);
    const auto give_up =
        std::chrono::steady_clock::now() + std::min(milliseconds(bus.timeout_ms * 2 + 1000), kLongestLook);
    std::string complaint = "no answer";
    std::size_t read = 0;
    if (const auto opened = driver->open(); !opened) {
        complaint = opened.error();
    } else {
        do {
            const PollOutcome outcome = driver->poll();
            read = static_cast<std::size_t>(
                std::count_if(outcome.readings.begin(), outcome.readings.end(), [](const Reading& reading) {
                    return reading.quality != Quality::bus_silent && reading.quality != Quality::bad_reply;
                }));
            if (!outcome.complaint.empty()) complaint = outcome.complaint;
            if (!outcome.readings.empty() || outcome.link == Link::down) break;
            std::this_thread::sleep_for(kBetweenPolls);
        } while (std::chrono::steady_clock::now() < give_up);
        driver->close();
    }
    const std::string topic = "bus " + bus.name;
    if (read == bus.channels.size())
        return {topic, FindingState::well, fmt::format("{} answers: {} channels read", place_of(bus), read),
                ""};
    return {topic, FindingState::broken, fmt::format("{}: {}", place_of(bus), complaint),
            std::string(what_to_do(bus.kind))};
}

Finding look_at_one(const SounderConfig& sounder, const Config& config) {
    if (sounder.coil) {
        return {
            "sounder", FindingState::well,
            fmt::format("\"{}\": coil {} on bus {}; it is not tried here, since nothing is written to a bus",
                        sounder.name, sounder.coil->address, config.buses[sounder.coil->bus].name),
            ""};
    }
    if (sounder.output.kind == SounderKind::gpio) {
        const GpioPlace& place = sounder.output.line;
        const bool there = ::access(place.chip.c_str(), F_OK) == 0;
        const std::string text = fmt::format("\"{}\": line {} of {}", sounder.name, place.offset, place.chip);
        if (there) return {"sounder", FindingState::well, text + "; it is not tried here", ""};
        return {"sounder", FindingState::broken, text + ", and there is no such device",
                "See which chips there are (ls /dev/gpiochip*)."};
    }
    const auto there = look_at_command(sounder.output.command);
    if (!there)
        return {"sounder", FindingState::broken, fmt::format("\"{}\": {}", sounder.name, there.error()),
                "Install the program or correct its path in the configuration."};
    return {"sounder", FindingState::well,
            fmt::format("\"{}\": {}; it is not run here", sounder.name, sounder.output.command.front()), ""};
}

}  // namespace

std::vector<Finding> look_at_buses(const Config& config, bool daemon_runs) {
    std::vector<Finding> findings;
    for (const BusConfig& bus : config.buses) {
        bool broken = false;
        if (bus.kind == BusKind::serial_text || bus.kind == BusKind::modbus_rtu) {
            if (auto finding = look_at_device(bus)) {
                broken = finding->state == FindingState::broken;
                findings.push_back(std::move(*finding));
            }
        }
        if (!broken && !daemon_runs) findings.push_back(ask(bus));
    }
    return findings;
}

std::vector<Finding> look_at_sounders(const Config& config) {
    if (config.sounders.empty()) {
        return {{"sounder", FindingState::look, "none is configured: alarms are heard on the page only",
                 "Wire a sounder to a coil of a Modbus device or a line of the box and name it in the "
                 "configuration."}};
    }
    std::vector<Finding> findings;
    for (const SounderConfig& sounder : config.sounders) findings.push_back(look_at_one(sounder, config));
    return findings;
}

}  // namespace drumwatch

#include <fmt/format.h>
#include <grp.h>
#include <pwd.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <chrono>
#include <cstring>
#include <thread>

#include "doctor/doctor.hpp"
#include "drivers/driver.hpp"

namespace drumwatch {

namespace {

using std::chrono::milliseconds;

constexpr const char* kDaemonUser = "drumwatch";  // as the package makes it
constexpr const char* kSerialGroup = "dialout";   // Debian's
constexpr milliseconds kLongestLook{10'000};
constexpr milliseconds kBetweenPolls{50};

/// Whether that user's groups or others may read and write; a user that isn't there may not be judged.
bool may_use(const passwd& user, const struct stat& device) {
    if (user.pw_uid == device.st_uid && (device.st_mode & 0600) == 0600) return true;
    if ((device.st_mode & 0006) == 0006) return true;
    int count = 64;
    std::vector<gid_t> groups(static_cast<std::size_t>(count));
    if (getgrouplist(user.pw_name, user.pw_gid, groups.data(), &count) < 0) return true;
    groups.resize(static_cast<std::size_t>(count));
    return (device.st_mode & 0060) == 0060 &&
           std::find(groups.begin(), groups.end(), device.st_gid) != groups.end();
}

std::string group_name(gid_t id) {
    const group* found = getgrgid(id);
    return found ? found->gr_name : std::to_string(id);
}

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

std::string where(const BusConfig& bus) {
    return bus.kind == BusKind::modbus_tcp ? fmt::format("{}:{}", bus.host, bus.port) : bus.device;
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
            read = outcome.readings.size();
            if (!outcome.complaint.empty()) complaint = outcome.complaint;
            if (read > 0 || outcome.link == Link::down) break;
            std::this_thread::sleep_for(kBetweenPolls);
        } while (std::chrono::steady_clock::now() < give_up);
        driver->close();
    }
    const std::string topic = "bus " + bus.name;
    if (read == bus.channels.size())
        return {topic, FindingState::well, fmt::format("{} answers: {} channels read", where(bus), read), ""};
    return {
        topic, FindingState::broken, fmt::format("{}: {}", where(bus), complaint),
        bus.kind == BusKind::modbus_tcp
            ? "See that the device has power, that its network cable is in, and that host, port and the "
              "channels' registers are those of its manual."
            : "See that the device has power and sends by itself, and that baud, delimiter and fields are "
              "those of its manual."};
}

}  // namespace

std::optional<Finding> look_at_rights(const std::string& device, const std::string& user_name) {
    struct stat rights {};
    const passwd* user = getpwnam(user_name.c_str());
    if (!user || ::stat(device.c_str(), &rights) != 0 || may_use(*user, rights)) return std::nullopt;
    const std::string group = group_name(rights.st_gid);
    Finding finding{
        "serial port", FindingState::broken,
        fmt::format("{} has the rights {:o} and belongs to group {}: the user {} may not read and write it",
                    device, rights.st_mode & 07777, group, user_name),
        ""};
    // Into the group of serial ports it may go; into any other it must not be talked.
    if (group == kSerialGroup && (rights.st_mode & 0060) == 0060)
        finding.advice = fmt::format("As root: adduser {} {}; then restart the daemon.", user_name, group);
    else
        finding.advice = fmt::format(
            "Serial ports usually belong to group {} with the rights 660: see what changed that (rules of "
            "udev).",
            kSerialGroup);
    return finding;
}

std::vector<Finding> look_at_buses(const Config& config, bool daemon_runs) {
    std::vector<Finding> findings;
    for (const BusConfig& bus : config.buses) {
        bool broken = false;
        if (bus.kind == BusKind::serial_text) {
            if (auto finding = look_at_device(bus)) {
                broken = finding->state == FindingState::broken;
                findings.push_back(std::move(*finding));
            }
        }
        if (!broken && !daemon_runs) findings.push_back(ask(bus));
    }
    return findings;
}

Finding look_at_sounder(const Config& config) {
    if (!config.sounder) {
        return {"sounder", FindingState::look, "none is configured: alarms are heard on the page only",
                "Wire a sounder to a coil of a Modbus device and name it in the configuration."};
    }
    return {"sounder", FindingState::well,
            fmt::format("coil {} on bus {}; it is not tried here, since nothing is written to a bus",
                        config.sounder->address, config.buses[config.sounder->bus].name),
            ""};
}

}  // namespace drumwatch

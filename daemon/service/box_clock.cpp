#include "service/box_clock.hpp"

#include <sys/timex.h>
#include <unistd.h>

#include <chrono>
#include <cstdlib>
#include <ctime>
#include <fstream>

namespace drumwatch {

bool clock_synchronised() {
    timex state{};
    if (adjtimex(&state) >= 0) return (state.status & STA_UNSYNC) == 0;
    // A sandbox that forbids setting the clock forbids asking the kernel too; this file says that it was set
    // since the boot (systemd-timesyncd.service(8)).
    return access("/run/systemd/timesync/synchronized", F_OK) == 0;
}

namespace {

/// The unit's sandbox leaves of /proc no more than the processes, so it tells the id itself
/// (systemd.unit(5), specifier %b: as the kernel's, without dashes).
std::string boot_id() {
    std::string id;
    std::ifstream("/proc/sys/kernel/random/boot_id") >> id;
    if (!id.empty()) return id;
    const char* told = std::getenv("DRUMWATCH_BOOT_ID");
    return told == nullptr ? "" : told;
}

}  // namespace

ClockReading read_clock() {
    ClockReading now;
    const auto wall = std::chrono::system_clock::now().time_since_epoch();
    now.wall.unix_ms = std::chrono::duration_cast<std::chrono::milliseconds>(wall).count();
    now.synchronised = clock_synchronised();
    now.boot = boot_id();
    timespec since{};
    if (clock_gettime(CLOCK_BOOTTIME, &since) == 0)
        now.boot_ms = static_cast<std::int64_t>(since.tv_sec) * 1000 + since.tv_nsec / 1'000'000;
    return now;
}

}  // namespace drumwatch

#include "service/box_clock.hpp"

#include <sys/timex.h>
#include <unistd.h>

#include <chrono>
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

ClockReading read_clock() {
    ClockReading now;
    const auto wall = std::chrono::system_clock::now().time_since_epoch();
    now.wall.unix_ms = std::chrono::duration_cast<std::chrono::milliseconds>(wall).count();
    now.synchronised = clock_synchronised();
    std::ifstream("/proc/sys/kernel/random/boot_id") >> now.boot;
    timespec since{};
    if (clock_gettime(CLOCK_BOOTTIME, &since) == 0)
        now.boot_ms = static_cast<std::int64_t>(since.tv_sec) * 1000 + since.tv_nsec / 1'000'000;
    return now;
}

}  // namespace drumwatch

// What the box's clocks say of now. Thread: any.
#pragma once

#include <cstdint>
#include <string>

#include "core/wall_time.hpp"

namespace drumwatch {

struct ClockReading {
    WallTime wall;
    bool synchronised =
        false;         ///< the wall clock follows a time server, as the kernel or systemd-timesyncd says
    std::string boot;  ///< the kernel's random id of this boot; the service manager's word for it where that
                       ///< can't be read; else empty
    std::int64_t boot_ms = 0;  ///< real time since that boot, sleep included (CLOCK_BOOTTIME)
};

ClockReading read_clock();
bool clock_synchronised();

}  // namespace drumwatch

#include "core/wall_time.hpp"

#include <fmt/format.h>

#include <chrono>

namespace drumwatch {

std::string utc_text(WallTime time) {
    using namespace std::chrono;
    const sys_time<milliseconds> instant{milliseconds{time.unix_ms}};
    const auto day = floor<days>(instant);
    const year_month_day date{day};
    const hh_mm_ss clock{instant - day};
    return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}.{:03}Z", static_cast<int>(date.year()),
                       static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()),
                       clock.hours().count(), clock.minutes().count(), clock.seconds().count(),
                       clock.subseconds().count());
}

}  // namespace drumwatch

#include "core/wall_time.hpp"

#include <fmt/format.h>

#include <charconv>
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

std::optional<WallTime> wall_time_from_utc(std::string_view text) {
    using namespace std::chrono;
    const auto number = [text](std::size_t at, std::size_t digits) {
        int value = -1;
        if (at + digits <= text.size()) std::from_chars(text.data() + at, text.data() + at + digits, value);
        return value;
    };
    const year_month_day date{year{number(0, 4)}, month{static_cast<unsigned>(number(5, 2))},
                              day{static_cast<unsigned>(number(8, 2))}};
    if (!date.ok()) return std::nullopt;
    const auto instant = sys_days{date} + hours{number(11, 2)} + minutes{number(14, 2)} +
                         seconds{number(17, 2)} + milliseconds{number(20, 3)};
    const WallTime time{duration_cast<milliseconds>(instant.time_since_epoch()).count()};
    // What does not come out again was not of this form.
    return utc_text(time) == text ? std::optional(time) : std::nullopt;
}

}  // namespace drumwatch

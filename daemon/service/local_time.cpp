#include "service/local_time.hpp"

#include <fmt/format.h>

#include <cstdlib>
#include <ctime>

namespace drumwatch {

namespace {

std::time_t seconds_of(WallTime instant) {
    const std::int64_t ms = instant.unix_ms;
    return static_cast<std::time_t>(ms >= 0 ? ms / 1000 : (ms - 999) / 1000);
}

std::tm local(WallTime instant) {
    const std::time_t seconds = seconds_of(instant);
    std::tm here{};
    tzset();
    localtime_r(&seconds, &here);
    return here;
}

/// A time of that day, be it summer time or not.
WallTime time_of_day(std::tm day, int minutes) {
    day.tm_hour = minutes / 60;
    day.tm_min = minutes % 60;
    day.tm_sec = 0;
    day.tm_isdst = -1;
    return {static_cast<std::int64_t>(std::mktime(&day)) * 1000};
}

}  // namespace

WallTime local_day_of(WallTime instant, int days_later) {
    std::tm day = local(instant);
    day.tm_mday += days_later;
    return time_of_day(day, 0);
}

WallTime local_time_of(WallTime instant, int minutes, int days_later) {
    std::tm day = local(instant);
    day.tm_mday += days_later;
    return time_of_day(day, minutes);
}

std::optional<WallTime> local_day(std::string_view date) {
    const auto noon = wall_time_from_utc(std::string(date) + "T12:00:00.000Z");
    if (!noon) return std::nullopt;
    const std::time_t seconds = seconds_of(*noon);
    std::tm day{};
    gmtime_r(&seconds, &day);
    return time_of_day(day, 0);
}

std::string local_date(WallTime instant) {
    const std::tm here = local(instant);
    return fmt::format("{:04}-{:02}-{:02}", here.tm_year + 1900, here.tm_mon + 1, here.tm_mday);
}

std::string local_text(WallTime instant) {
    const std::tm here = local(instant);
    const long minutes = std::labs(here.tm_gmtoff) / 60;
    return fmt::format("{} {:02}:{:02}:{:02} {}{:02}:{:02}", local_date(instant), here.tm_hour, here.tm_min,
                       here.tm_sec, here.tm_gmtoff < 0 ? "-" : "+", minutes / 60, minutes % 60);
}

}  // namespace drumwatch

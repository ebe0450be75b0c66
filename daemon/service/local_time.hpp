// Days and times of day as the box's time zone has them (TZ, else /etc/localtime): labels for people. Any
// thread.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "core/wall_time.hpp"

namespace drumwatch {

/// When the day "2026-11-25" begins here; nothing where that is no date.
std::optional<WallTime> local_day(std::string_view date);
/// When the day begins in which that instant lies, or one that many days later.
WallTime local_day_of(WallTime instant, int days_later = 0);
/// When it is so many minutes after midnight by the clock on the wall, on that instant's day or one that many
/// days later.
WallTime local_time_of(WallTime instant, int minutes, int days_later = 0);
std::string local_date(WallTime instant);  ///< "2026-11-25"
std::string local_text(WallTime instant);  ///< "2026-11-25 11:42:07 +01:00"

}  // namespace drumwatch

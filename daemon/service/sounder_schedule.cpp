#include "service/sounder_schedule.hpp"

#include "service/local_time.hpp"

namespace drumwatch {

namespace {

constexpr std::int64_t kLongestDay_ms = 25 * 3'600'000;  // the one on which summer time ends

/// The first such time of day after an instant.
WallTime next_after(WallTime now, int minutes) {
    const WallTime today = local_time_of(now, minutes);
    return today.unix_ms > now.unix_ms ? today : local_time_of(now, minutes, 1);
}

}  // namespace

SounderSchedule::Now SounderSchedule::look(WallTime now, bool busy, bool sounding) {
    if (at_start_ && !sounding) {
        at_start_ = false;
        return Now::test;
    }
    if (!daily_at_) return Now::nothing;
    // A clock that was set back waits for no more than a day.
    const bool due = next_ && now.unix_ms >= next_->unix_ms;
    if (!next_ || due || next_->unix_ms - now.unix_ms > kLongestDay_ms) next_ = next_after(now, *daily_at_);
    if (!due) return Now::nothing;
    return busy || sounding ? Now::left_out : Now::test;
}

}  // namespace drumwatch

// When the sounders are tested by themselves: once at the start and once a day. Thread: core.
#pragma once

#include <cstdint>
#include <optional>

#include "core/wall_time.hpp"

namespace drumwatch {

class SounderSchedule {
  public:
    enum class Now : std::uint8_t { nothing, test, left_out };

    /// `daily_at`: minutes since midnight, as the box's time zone has it; nothing: never.
    SounderSchedule(std::optional<int> daily_at, bool at_start) : daily_at_(daily_at), at_start_(at_start) {}

    /// At every tick, with the box's wall clock. `busy`: something is in drum or tray; `sounding`: an alarm
    /// sounds. The test of the start waits for silence; a day's is left out where it would disturb.
    Now look(WallTime now, bool busy, bool sounding);

  private:
    std::optional<int> daily_at_;
    bool at_start_;
    std::optional<WallTime> next_;
};

}  // namespace drumwatch

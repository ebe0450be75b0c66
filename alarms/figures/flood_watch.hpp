// Floods and chattering while they happen. PURE, one thread, no allocation, a fixed amount of memory.
//
// A flood begins with the 11th onset within 10 minutes and ends once less than 5 lie within the last 10
// minutes (ANSI/ISA-18.2: starts at more than 10 in 10 minutes, ends at less than 5, from a secondary
// source). A rule chatters from its third onset within a minute on (ANSI/ISA-18.2: three and more on and off
// in a minute, from a secondary source). A stretch of time holds its end and not its beginning: an onset that
// is exactly 10 minutes old counts no more.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

#include "core/alarm.hpp"
#include "core/tick.hpp"

namespace drumwatch {

inline constexpr std::int64_t kFloodWindow_ms = 600'000;
inline constexpr std::size_t kFloodOnsets = 11;  ///< so many within the window: a flood
inline constexpr std::size_t kFloodStays = 5;    ///< so many keep it up
inline constexpr std::int64_t kChatterWindow_ms = 60'000;
inline constexpr std::size_t kChatterOnsets = 3;

/// The newest onsets' times, as far as they are needed.
template <std::size_t Kept>
struct NewestOnsets {
    std::array<std::int64_t, Kept> at_ms{};  ///< the newest first
    std::size_t count = 0;                   ///< of those that are kept

    void add(std::int64_t now_ms) {
        for (std::size_t i = Kept - 1; i > 0; --i) at_ms[i] = at_ms[i - 1];
        at_ms[0] = now_ms;
        if (count < Kept) ++count;
    }
    /// Whether the newest `many` lie within the last `window_ms`.
    bool within(std::size_t many, std::int64_t window_ms, std::int64_t now_ms) const {
        return count >= many && now_ms - at_ms[many - 1] < window_ms;
    }
};

/// What it remembers, as plain data: a watch hands it on to the next.
struct FloodMemory {
    NewestOnsets<kFloodOnsets> all;
    std::array<NewestOnsets<kChatterOnsets>, kAlarmRules> of_rule{};
    bool flood = false;  ///< after the newest onset
};

class FloodWatch {
  public:
    explicit FloodWatch(const FloodMemory& memory = {}) : memory_(memory) {}

    /// An alarm was raised: times in order. Returns whether its rule chatters with it.
    bool onset(AlarmRule rule, Tick now);
    /// `now` is not before the newest onset.
    bool flood(Tick now) const;
    /// Three onsets of it lie within the last minute.
    bool chatters(AlarmRule rule, Tick now) const;
    const FloodMemory& memory() const { return memory_; }

  private:
    FloodMemory memory_;
};

}  // namespace drumwatch

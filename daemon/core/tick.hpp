// Time inside the engine: whole milliseconds since the watch began, always on the tick grid. Nothing in the
// PURE rooms knows another clock. The wall clock (wall_time.hpp) is a label and a type of its own.
#pragma once

#include <compare>
#include <cstdint>

namespace drumwatch {

struct Tick {
    std::int64_t ms = 0;
    friend constexpr auto operator<=>(const Tick&, const Tick&) = default;
};

/// Milliseconds from `b` to `a`.
constexpr std::int64_t operator-(Tick a, Tick b) { return a.ms - b.ms; }
constexpr Tick operator+(Tick t, std::int64_t ms) { return {t.ms + ms}; }
constexpr Tick operator-(Tick t, std::int64_t ms) { return {t.ms - ms}; }

/// Seconds from `b` to `a`, for arithmetic on curves.
constexpr double seconds_between(Tick b, Tick a) { return static_cast<double>(a.ms - b.ms) / 1000.0; }

/// Tick periods that a station may have, in milliseconds: all divide a second.
constexpr bool is_tick_period(std::int64_t ms) {
    return ms == 100 || ms == 125 || ms == 200 || ms == 250 || ms == 500 || ms == 1000;
}

}  // namespace drumwatch

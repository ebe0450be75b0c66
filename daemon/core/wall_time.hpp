// The wall clock: a label beside what the engine does, never an input to it. Milliseconds since 1970-01-01
// UTC.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace drumwatch {

struct WallTime {
    std::int64_t unix_ms = 0;
};

/// "2026-11-25T10:42:07.250Z" (RFC 3339).
std::string utc_text(WallTime time);
/// The same back; nothing for any other text.
std::optional<WallTime> wall_time_from_utc(std::string_view text);

}  // namespace drumwatch

// The wall clock: a label beside what the engine does, never an input to it. Milliseconds since 1970-01-01
// UTC.
#pragma once

#include <cstdint>

namespace drumwatch {

struct WallTime {
    std::int64_t unix_ms = 0;
};

}  // namespace drumwatch

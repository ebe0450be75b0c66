// When something must be looked at again, in steady milliseconds; nothing: not before it is told something.
#pragma once

#include <algorithm>
#include <cstdint>
#include <optional>

namespace drumwatch {

using Due = std::optional<std::int64_t>;

inline Due earlier(Due a, Due b) {
    if (!a || !b) return a ? a : b;
    return std::min(*a, *b);
}

}  // namespace drumwatch

// "1 roast", "2 roasts".
#pragma once

#include <fmt/format.h>

#include <concepts>
#include <string>
#include <string_view>

namespace drumwatch {

/// `many` left out: `one` with an s.
template <std::integral Count>
std::string counted(Count count, std::string_view one, std::string_view many = {}) {
    if (count == 1) return fmt::format("1 {}", one);
    return many.empty() ? fmt::format("{} {}s", count, one) : fmt::format("{} {}", count, many);
}

}  // namespace drumwatch

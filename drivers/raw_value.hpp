// What a reading was made of, for the person who looks at the wire.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>
#include <string_view>

#include "drivers/link_fault.hpp"

namespace drumwatch {

/// Plain data; a copy costs no allocation.
struct RawValue {
    static constexpr std::size_t kMaxText = 24;
    enum class Kind : std::uint8_t { none, one_word, two_words, text };

    Kind kind = Kind::none;  ///< none: nothing came
    LinkFault fault =
        LinkFault::none;      ///< why the reading is not good; an open probe is no fault of the link
    std::uint8_t length = 0;  ///< of the text, as it is kept
    std::array<std::uint16_t, 2> words{};  ///< registers, in the order of their addresses
    std::array<char, kMaxText> bytes{};    ///< a field as it came, cut at kMaxText; not ended by a zero

    std::string_view text() const { return {bytes.data(), length}; }
};

}  // namespace drumwatch

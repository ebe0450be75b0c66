// From a word of the files back to the value that has it. Throws std::out_of_range with a sentence; whoever
// parses catches it (watch_text.cpp).
#pragma once

#include <fmt/format.h>

#include <stdexcept>
#include <string>

#include "core/alarm.hpp"

namespace drumwatch {

template <typename Enum, typename Word>
Enum from_word(const std::string& word, Enum last, Word word_of) {
    for (int i = 0; i <= static_cast<int>(last); ++i) {
        if (word_of(static_cast<Enum>(i)) == word) return static_cast<Enum>(i);
    }
    throw std::out_of_range(fmt::format("\"{}\" is not known here", word));
}

template <typename Enum>
Enum from_name(const std::string& word, Enum last) {
    return from_word(word, last, [](Enum value) { return name(value); });
}

inline Priority priority_from_name(const std::string& word) {
    for (const Priority priority : {Priority::high, Priority::medium, Priority::low}) {
        if (name(priority) == word) return priority;
    }
    throw std::out_of_range(fmt::format("\"{}\" is not known here", word));
}

}  // namespace drumwatch

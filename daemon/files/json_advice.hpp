// What a person meant by one piece of a text that is not JSON (RFC 8259): the usual slips in a number, a word
// or a text, each with what would be right. Pure.
#pragma once

#include <string>
#include <string_view>

namespace drumwatch {

struct JsonAdvice {
    std::string sentence;  ///< what would be right; empty: nothing is wrong
    std::string right;     ///< the piece as it should be
};

/// A piece without quotes that stands for a value. Anything that is no number, true, false or null is taken
/// for text.
JsonAdvice advise_word(std::string_view word);
/// A piece in double quotes that is closed: its escapes and control characters.
JsonAdvice advise_text(std::string_view quoted);
/// `text` in double quotes; what must be escaped is.
std::string json_quoted(std::string_view text);

/// Digits, with or without a minus sign in front.
bool is_whole_number(std::string_view word);

}  // namespace drumwatch

// The pieces of a text that ought to be JSON, right or wrong: what json_mender walks over. `//` and `/* */`
// comments are blank; those after # are a piece of their own, since they are a slip. Pure.
#pragma once

#include <cstddef>
#include <cstdint>
#include <string_view>

namespace drumwatch {

enum class JsonTokenKind : std::uint8_t {
    end,
    open_object,
    close_object,
    open_list,
    close_list,
    comma,
    colon,
    semicolon,
    equals,
    text,          ///< in double quotes, closed on its line
    other_quotes,  ///< in single or typographic quotes, closed on its line
    open_text,     ///< any quote that is not closed on its line
    word,          ///< a number, true, or anything without quotes
    hash_comment,
    open_comment,  ///< its closing */ is missing
};

struct JsonToken {
    JsonTokenKind kind = JsonTokenKind::end;
    std::size_t begin = 0;
    std::string_view text;
    std::size_t end() const { return begin + text.size(); }
};

/// The next piece at or after byte `from`. `text` must outlive it.
JsonToken json_token(std::string_view text, std::size_t from);

/// What stands between the quotes of a piece of `other_quotes`.
std::string_view inside_other_quotes(std::string_view text);

}  // namespace drumwatch

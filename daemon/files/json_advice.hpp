// What would be right where a text is not JSON (RFC 8259): the usual slips of a person with an editor. Pure.
#pragma once

#include <cstddef>
#include <string>

namespace drumwatch {

struct JsonAdvice {
    std::size_t byte = 0;  ///< where the piece begins that is wrong
    std::string sentence;  ///< empty: none of the usual slips
};

/// `stumble`: the byte at which a parser gave up; `wants_colon`: it had read a key. // comments are allowed.
JsonAdvice advise_json(const std::string& text, std::size_t stumble, bool wants_colon);

}  // namespace drumwatch

// What earlier roasts taught, as a small JSON file that one run writes and the next begins with:
//   {"drumwatch_lessons": 1, "roasts": 12, "crack_c": 198.2, "crack_spread_c": 1.4}
// A field that is left out keeps the value of a beginner who knows nothing.
#pragma once

#include <string>

#include "core/lessons.hpp"
#include "core/result.hpp"

namespace drumwatch {

/// Errors name the place as a JSON Pointer and say what would be right.
Result<Lessons> parse_lessons(const std::string& text);
/// The same of a file; the sentence begins with its name.
Result<Lessons> read_lessons(const std::string& path);
/// Stable: the same lessons give the same bytes, and reading them gives the same lessons exactly.
std::string write_lessons(const Lessons& lessons);

}  // namespace drumwatch

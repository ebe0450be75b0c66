// What a watch hands on to the next (engine/carried.hpp), as the JSON object in its Begin. PURE; any thread.
#pragma once

#include <string>

#include "engine/carried.hpp"

namespace drumwatch {

std::string carried_text(const Carried& carried);
/// Throws what nlohmann_json and words_back.hpp throw; watch_text.cpp turns it into a sentence.
Carried carried_from_text(const std::string& text);

}  // namespace drumwatch

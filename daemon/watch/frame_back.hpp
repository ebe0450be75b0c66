// A frame read back from its line of JSON (core/frame_text.hpp), without loss. PURE; any thread. Any text may
// come: what is no frame is an error in a sentence.
#pragma once

#include <string>

#include "core/reading.hpp"
#include "core/result.hpp"

namespace drumwatch {

Result<Frame> parse_frame(const std::string& text);

}  // namespace drumwatch

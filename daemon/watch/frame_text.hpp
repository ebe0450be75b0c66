// One frame as a line of JSON, for whoever reads a watch without our program, and back without loss:
//   {"frame":1250,"samples":[[201300,"good",1],[0,"stale",0]]}
// tick in ms, then for each channel the value in thousandths of its unit, its quality, and 1 where it was
// measured since the tick before. PURE; any thread.
#pragma once

#include <string>

#include "core/reading.hpp"
#include "core/result.hpp"

namespace drumwatch {

std::string frame_text(const Frame& frame);
Result<Frame> parse_frame(const std::string& text);

}  // namespace drumwatch

// One frame as a line of JSON, for whoever reads a watch without our program, and for its seal:
//   {"frame":1250,"samples":[[201300,"good",1],[0,"stale",0]]}
// tick in ms, then for each channel the value in thousandths of its unit, its quality, and 1 where it was
// measured since the tick before. The text is a public contract: seals are sums of it. PURE; any thread.
#pragma once

#include <string>

#include "core/reading.hpp"

namespace drumwatch {

std::string frame_text(const Frame& frame);

}  // namespace drumwatch

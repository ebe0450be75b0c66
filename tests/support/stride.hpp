#pragma once

#include <cstddef>

/// Step of a loop over every byte of a text or every operation of a disk. With sanitizers everything takes
/// ten times longer, and one in seven is tried there: a prime, so that no column is left out.
#ifdef DRUMWATCH_SANITIZED
inline constexpr std::size_t kStride = 7;
#else
inline constexpr std::size_t kStride = 1;
#endif

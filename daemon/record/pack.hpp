// Frames packed into one row of the record and back, without loss: tick, value, quality and freshness come
// back exactly. PURE; any thread. The layout is a public contract (layout 1 never changes; a better one is
// layout 2).
//
// Layout 1, a stream of bits (bits.hpp; "number" is its variable-length code), for `count` frames of which
// the first has tick `from_ms` and the last `to_ms`:
//   channels     5 bits, 0 to 16
//   regular      1 bit. 1: all ticks are equally far apart, (to_ms - from_ms) / (count - 1).
//                0: for each frame but the first, a number: milliseconds since the frame before, less 1
//   then for each channel:
//   all good     1 bit. 1: every quality is `good`. 0: runs until `count` frames are covered, each a quality
//                (4 bits, core/quality.hpp) and a number: its length less 1
//   freshness    2 bits. 0: none fresh, 1: all fresh, 2: one bit a frame
//   divisor      number: greatest common divisor of the channel's values in thousandths, or 1 if all are 0
//                (a sensor that answers in steps of 0.1 gives 100); every value below is divided by it
//   first        number, zigzag: the first value
//   k            5 bits, the Rice parameter of this channel
//   differences  for each frame but the first, zigzag difference z from the frame before:
//                z >> k in unary (that many 1 bits, then a 0) and the low k bits of z;
//                where z >> k is 24 or more: 24 1 bits and z itself in 34 bits
// The last byte is filled up with 0 bits.
//
// Why: differences of a slow temperature are a few steps of the sensor, near the shape for which Rice codes
// are best (R. F. Rice, "Some Practical Universal Noiseless Coding Techniques", JPL Publication 79-22, 1979).
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "core/reading.hpp"
#include "core/result.hpp"

namespace drumwatch {

inline constexpr int kFrameLayout = 1;
/// Most frames in one row: 30 s at 4 Hz, so that damage to one row costs little.
inline constexpr std::size_t kMaxPackedFrames = 120;
/// Rows are kept below this where they can be, so that none needs an overflow page (SQLite keeps about 1000
/// bytes of a row in a page of 4096, file format document, section 1.6).
inline constexpr std::size_t kRowBytes = 900;

struct PackedFrames {
    std::int64_t from_ms = 0;
    std::int64_t to_ms = 0;
    std::int64_t count = 0;
    std::int64_t layout = kFrameLayout;
    std::uint32_t crc =
        0;  ///< CRC-32 (as in zlib) of from_ms, to_ms, count (8 bytes each, low first) and body
    std::string body;
};

/// Packs 1 to kMaxPackedFrames frames with ascending ticks and the same number of channels (asserted).
PackedFrames pack_frames(std::span<const Frame> frames);
/// Packs any number of frames with ascending ticks into as many rows as it takes.
std::vector<PackedFrames> pack_rows(std::span<const Frame> frames);
/// Any bytes may come; what pack_frames() did not make is an error in a sentence.
Result<std::vector<Frame>> unpack_frames(const PackedFrames& packed);

/// Equal in tick, channels and the samples of those channels.
bool same_frame(const Frame& a, const Frame& b);

}  // namespace drumwatch

// A capture: what a bus carried, poll by poll and, where that was asked for, byte by byte, as lines of JSON.
// conf/README.md has the format.
//
// PURE: text in, values out; any thread. The reader is strict and stands any bytes: a line is at most
// kMaxCaptureLine long, every key is known, every value is of its kind and in its range, and an error says
// what is wrong (the caller knows the number of the line).
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "core/reading.hpp"
#include "core/result.hpp"
#include "drivers/driver.hpp"

namespace drumwatch {

inline constexpr std::size_t kMaxCaptureLine = 16'384;  ///< bytes, without the line's end
inline constexpr std::size_t kMaxCaptureComplaint = 512;
inline constexpr std::size_t kMaxCaptureInputs = 64;
inline constexpr std::size_t kMaxCapturedBytes = 4'096;  ///< in one line

struct CaptureHeader {
    std::string bus;
    std::vector<std::string> channels;    ///< names, at most kMaxChannels
    std::vector<DiscreteInput> inputs{};  ///< at most kMaxCaptureInputs
    friend bool operator==(const CaptureHeader&, const CaptureHeader&) = default;
};

struct CapturedReading {
    std::size_t place = 0;  ///< index into CaptureHeader::channels
    Milli value_milli = 0;  ///< 0 unless has_value(quality)
    Quality quality = Quality::never_read;
    RawValue raw;
};

struct CapturedPoll {
    std::int64_t ms = 0;  ///< since the capture began
    Link link = Link::up;
    std::vector<CapturedReading> readings;
    std::string complaint;
    /// Levels of CaptureHeader::inputs, in its order (nothing: the device refused it), or none at all: they
    /// were not read.
    std::vector<std::optional<bool>> inputs{};
};

/// A piece of what was on the link: a frame, a part of one, or noise.
struct CapturedBytes {
    std::int64_t ms = 0;  ///< since the capture began; of its last byte
    ByteWay way = ByteWay::sent;
    std::string bytes;  ///< 1 to kMaxCapturedBytes
};

using CapturedLine = std::variant<CapturedPoll, CapturedBytes>;

/// Without the line's end. All write only what the reader below takes.
std::string capture_header_line(const CaptureHeader& header);
/// `complaint` is cut at kMaxCaptureComplaint.
std::string captured_poll_line(const CapturedPoll& poll, const CaptureHeader& header);
std::string captured_bytes_line(const CapturedBytes& piece);

Result<CaptureHeader> parse_capture_header(std::string_view line);
/// Any line but the first.
Result<CapturedLine> parse_captured_line(std::string_view line, const CaptureHeader& header);

}  // namespace drumwatch

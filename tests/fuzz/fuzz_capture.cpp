// Any bytes as a capture: an error or a poll, never a crash; what was read, written and read again is the
// same. The first line is the header's, each further one a poll's or bytes.
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "drivers/capture/capture_text.hpp"

namespace {

void poll_is_kept(const drumwatch::CapturedPoll& poll, const drumwatch::CaptureHeader& header) {
    const std::string line = drumwatch::captured_poll_line(poll, header);
    const auto back = drumwatch::parse_captured_line(line, header);
    if (!back) std::abort();
    const auto& same = std::get<drumwatch::CapturedPoll>(back.value());
    if (same.readings.size() != poll.readings.size() || same.inputs != poll.inputs) std::abort();
    if (drumwatch::captured_poll_line(same, header) != line) std::abort();
}

void bytes_are_kept(const drumwatch::CapturedBytes& piece, const drumwatch::CaptureHeader& header) {
    const auto back = drumwatch::parse_captured_line(drumwatch::captured_bytes_line(piece), header);
    if (!back) std::abort();
    const auto& same = std::get<drumwatch::CapturedBytes>(back.value());
    if (same.ms != piece.ms || same.way != piece.way || same.bytes != piece.bytes) std::abort();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    std::string_view text(reinterpret_cast<const char*>(data), size);
    const auto next = [&] {
        const std::size_t end = text.find('\n');
        const std::string_view line = text.substr(0, end);
        text.remove_prefix(end == std::string_view::npos ? text.size() : end + 1);
        return line;
    };
    const auto header = drumwatch::parse_capture_header(next());
    if (!header) return 0;
    const std::string first = drumwatch::capture_header_line(header.value());
    const auto again = drumwatch::parse_capture_header(first);
    if (!again || !(again.value() == header.value())) std::abort();
    while (!text.empty()) {
        const auto line = drumwatch::parse_captured_line(next(), header.value());
        if (!line) continue;
        if (const auto* poll = std::get_if<drumwatch::CapturedPoll>(&line.value()))
            poll_is_kept(*poll, header.value());
        else
            bytes_are_kept(std::get<drumwatch::CapturedBytes>(line.value()), header.value());
    }
    return 0;
}

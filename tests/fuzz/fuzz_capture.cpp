// Any bytes as a capture: an error or a poll, never a crash; what was read, written and read again is the
// same. The first line is the header's, each further one a poll's.
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "drivers/capture/capture_text.hpp"

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
        const auto poll = drumwatch::parse_captured_poll(next(), header.value());
        if (!poll) continue;
        const std::string line = drumwatch::captured_poll_line(poll.value(), header.value());
        const auto back = drumwatch::parse_captured_poll(line, header.value());
        if (!back || back.value().readings.size() != poll.value().readings.size()) std::abort();
        if (drumwatch::captured_poll_line(back.value(), header.value()) != line) std::abort();
    }
    return 0;
}

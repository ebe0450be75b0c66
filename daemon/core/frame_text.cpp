#include "core/frame_text.hpp"

#include <array>
#include <charconv>

namespace drumwatch {
namespace {

constexpr std::size_t kSampleLength = 24;  // about: [184250,"good",1],

void append(std::string& text, std::int64_t number) {
    std::array<char, 20> digits;  // of the longest, with its sign
    const auto end = std::to_chars(digits.data(), digits.data() + digits.size(), number).ptr;
    text.append(digits.data(), end);
}

}  // namespace

// By hand: verify and sealing make the text of every frame of a record, and spend their time here.
std::string frame_text(const Frame& frame) {
    std::string text;
    text.reserve(32 + frame.channels * kSampleLength);
    text += "{\"frame\":";
    append(text, frame.tick.ms);
    text += ",\"samples\":[";
    for (std::size_t i = 0; i < frame.channels; ++i) {
        const Sample& sample = frame.samples[i];
        text += i == 0 ? "[" : ",[";
        append(text, sample.value_milli);
        text += ",\"";
        text += name(sample.quality);
        text += sample.fresh ? "\",1]" : "\",0]";
    }
    return text + "]}";
}

}  // namespace drumwatch

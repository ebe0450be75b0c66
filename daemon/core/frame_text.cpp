#include "core/frame_text.hpp"

#include <fmt/format.h>

#include <iterator>

namespace drumwatch {

std::string frame_text(const Frame& frame) {
    std::string text = fmt::format("{{\"frame\":{},\"samples\":[", frame.tick.ms);
    for (std::size_t i = 0; i < frame.channels; ++i) {
        const Sample& sample = frame.samples[i];
        fmt::format_to(std::back_inserter(text), "{}[{},\"{}\",{}]", i == 0 ? "" : ",", sample.value_milli,
                       name(sample.quality), sample.fresh ? 1 : 0);
    }
    return text + "]}";
}

}  // namespace drumwatch

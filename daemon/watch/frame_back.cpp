#include "watch/frame_back.hpp"

#include <fmt/format.h>

#include <nlohmann/json.hpp>

#include "watch/words_back.hpp"

namespace drumwatch {

namespace {

using Json = nlohmann::json;

Sample sample_from(const Json& json) {
    Sample sample;
    sample.value_milli = json.at(0).get<Milli>();
    sample.quality = from_name(json.at(1).get<std::string>(), static_cast<Quality>(kQualities - 1));
    sample.fresh = json.at(2).get<int>() == 1;
    return sample;
}

Frame frame_from(const Json& json) {
    Frame frame;
    frame.tick.ms = json.at("frame").get<std::int64_t>();
    const Json& samples = json.at("samples");
    if (samples.size() > kMaxChannels) throw std::out_of_range("a frame has too many channels");
    for (const Json& sample : samples) frame.samples[frame.channels++] = sample_from(sample);
    return frame;
}

}  // namespace

Result<Frame> parse_frame(const std::string& text) {
    try {
        return frame_from(Json::parse(text));
    } catch (const std::exception& error) {
        return Error{fmt::format("a frame can't be read ({})", error.what())};
    }
}

}  // namespace drumwatch

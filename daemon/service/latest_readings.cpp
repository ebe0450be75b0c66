#include "service/latest_readings.hpp"

namespace drumwatch {

LatestReadings::LatestReadings(const ChannelTable& channels) {
    for (const Channel& channel : channels)
        channels_.push_back({std::nullopt, false, {}, channel.max_age_ms});
}

void LatestReadings::take(const Reading& reading) {
    if (reading.channel >= channels_.size()) return;
    Latest& latest = channels_[reading.channel];
    latest.reading = reading;
    latest.fresh = true;
}

Sample LatestReadings::sample(const Latest& latest, Tick now, bool silent) {
    if (silent) return {0, Quality::bus_silent, false};
    if (!latest.reading) return {};
    const Milli value = has_value(latest.reading->quality) ? latest.reading->value_milli : 0;
    const bool old = now - latest.at > latest.max_age_ms;
    return {value, old ? Quality::stale : latest.reading->quality, latest.fresh};
}

Frame LatestReadings::frame(Tick now, std::uint32_t silent_channels) {
    Frame frame;
    frame.tick = now;
    frame.channels = static_cast<std::uint8_t>(channels_.size());
    for (std::size_t i = 0; i < channels_.size(); ++i) {
        Latest& latest = channels_[i];
        if (latest.fresh) latest.at = now;
        frame.samples[i] = sample(latest, now, (silent_channels >> i) & 1u);
        latest.fresh = false;
    }
    return frame;
}

}  // namespace drumwatch

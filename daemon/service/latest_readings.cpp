#include "service/latest_readings.hpp"

namespace drumwatch {

LatestReadings::LatestReadings(const ChannelTable& channels) {
    for (const Channel& channel : channels) channels_.emplace_back().max_age_ms = channel.max_age_ms;
}

void LatestReadings::take(const Reading& reading) {
    if (reading.channel >= channels_.size()) return;
    Latest& latest = channels_[reading.channel];
    latest.reading = reading;
    latest.uncorrected = reading.value_milli;
    if (has_value(reading.quality))
        latest.reading->value_milli = calibrated(latest.calibration, reading.value_milli);
    latest.fresh = true;
}

void LatestReadings::calibrate(std::size_t channel, Calibration calibration) {
    channels_.at(channel).calibration = std::move(calibration);
}

std::optional<Milli> LatestReadings::uncorrected(std::size_t channel) const {
    const Latest& latest = channels_.at(channel);
    if (!latest.fresh_in_frame || !is_good(latest.reading->quality)) return std::nullopt;
    return latest.uncorrected;
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
        latest.fresh_in_frame = latest.fresh;
        latest.fresh = false;
    }
    return frame;
}

}  // namespace drumwatch

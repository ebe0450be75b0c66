// The newest reading of every channel between two ticks, and the frame that a tick makes of them. Thread:
// core.
//
// A reading that came since the tick before is fresh; else the last one is held over, until it is older than
// the channel's limit (stale) or its bus is silent. Nothing is repeated in silence, nothing is invented.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "core/reading.hpp"
#include "drivers/sensors/calibration.hpp"

namespace drumwatch {

class LatestReadings {
  public:
    explicit LatestReadings(const ChannelTable& channels);
    void take(const Reading& reading);
    /// Of the readings that come from now on.
    void calibrate(std::size_t channel, Calibration calibration);
    /// What the newest frame's reading was without correction; nothing where that frame had no fresh good
    /// one.
    std::optional<Milli> uncorrected(std::size_t channel) const;
    /// `silent_channels`: bits of the channels whose bus does not answer.
    Frame frame(Tick now, std::uint32_t silent_channels);

  private:
    struct Latest {
        std::optional<Reading> reading;
        Milli uncorrected = 0;
        bool fresh = false;
        bool fresh_in_frame = false;
        Tick at;
        std::int64_t max_age_ms = 0;
        Calibration calibration;
    };
    static Sample sample(const Latest& latest, Tick now, bool silent);

    std::vector<Latest> channels_;
};

}  // namespace drumwatch

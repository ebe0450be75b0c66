// What one number can't say: a thermocouple whose cold junction is another channel of its bus, and a counter
// of pulses.
//
// PURE: time is handed in. decode.hpp leaves such a reading unfinished, in the same 32 bits: the
// thermocouple's emf in thousandths of a microvolt, the counter as it stands. complete() makes degrees and
// turns a minute of them, so nobody beyond the drivers ever sees one (drivers/complete_readings.hpp).
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/reading.hpp"
#include "drivers/bus.hpp"
#include "drivers/sensors/pulse_counter.hpp"

namespace drumwatch {

/// The unfinished reading of a sensor for which needs_others() holds; `number` is what came, scaled.
Reading unfinished(const ChannelSource& source, double number);

class BusSensors {
  public:
    explicit BusSensors(const BusConfig& bus);
    bool has_any() const { return any_; }
    /// All that is remembered: the link was opened anew.
    void forget();
    /// Completes the readings of one poll. A thermocouple whose cold junction has no good reading, in this
    /// poll or not longer ago than its max_age_ms, is a bad_reply: there is an emf and no temperature. The
    /// sentence that comes back says so, and is empty when all is well. `now_ms` only grows.
    std::string complete(std::vector<Reading>& readings, std::int64_t now_ms);

  private:
    struct Remembered {
        Reading reading;
        std::int64_t at_ms = 0;
    };
    struct Channel {
        SensorSource sensor;
        std::optional<PulseCounter> counter;
        std::optional<Remembered> newest;
    };
    std::string complete_thermocouple(const ThermocoupleSource& source, Reading& reading,
                                      std::int64_t now_ms);
    std::optional<Quality> cold_junction_fault(const ColdJunctionChannel& cold, std::int64_t now_ms) const;

    std::array<Channel, kMaxChannels> channels_{};
    bool any_ = false;
};

}  // namespace drumwatch

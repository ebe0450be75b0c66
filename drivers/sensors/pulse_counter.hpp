// The speed of a turning part from a counter of pulses that is read now and then and goes round at 16 or 32
// bits.
//
// PURE: time is handed in. The counter is looked at when it has changed: the pulses of the last five seconds
// over the time between the readings that showed them. Where it stands still for longer than it used to, the
// speed falls with the time that goes by; after ten seconds it is 0 (judgement, no source): one pulse a turn
// shows six turns a minute and more.
#pragma once

#include <cstdint>
#include <deque>
#include <optional>

#include "drivers/sensors/sensors.hpp"

namespace drumwatch {

class PulseCounter {
  public:
    explicit PulseCounter(const PulseSource& source) : source_(source) {}

    /// Turns a minute. never_read until it can be told, bad_reply where the counter did not go on (more than
    /// half of its round in one step: it began anew); then the counting begins anew too. Times only grow.
    Measured take(std::uint32_t count, std::int64_t now_ms);
    void forget();

  private:
    struct Change {
        std::int64_t at_ms = 0;
        std::int64_t pulses = 0;  ///< since the first reading
    };
    void drop_old(std::int64_t now_ms);
    std::optional<double> pulses_per_s(std::int64_t now_ms) const;

    PulseSource source_;
    std::optional<std::uint32_t> last_;
    std::deque<Change> changes_;  ///< oldest first; the first reading counts as one
};

}  // namespace drumwatch

// Faults of one temperature probe that show only beside the machine's other probes: shorted, connected the
// wrong way round, standing still. PURE, one thread, no allocation. Numbers are judgement.
//
// A thermocouple's reading is its terminals' temperature and what the wire adds. Shorted, the wire adds
// nothing: the reading drops to the room's temperature faster than any mass cools, and stays there. Reversed,
// it takes away: the reading falls while the machine is heated, below the room's temperature.
#pragma once

#include <array>
#include <cstdint>
#include <optional>

#include "core/quality.hpp"
#include "core/tick.hpp"

namespace drumwatch {

/// What the machine's other probes say; degrees Celsius.
struct Surroundings {
    double room_c = 25;              ///< of the ambient channel, else as if it were a usual room
    std::optional<double> hottest;   ///< of the machine's other good probes
    std::optional<double> moving_c;  ///< of the probe that moves with this one, where it is good
};

/// Drops from far above to the room's temperature within 3 s (at 25 degrees a second and 60 at least) and
/// stays there, while another probe is hot. `suspect` at once, short_circuit after 1.5 s.
class ShortWatch {
  public:
    Quality judge(Quality judged, double value_c, Tick now, const Surroundings& around);

  private:
    struct Point {
        Tick at;
        double value_c = -1e9;
    };
    bool dropped(double value_c, Tick now) const;
    void remember(double value_c, Tick now);

    std::array<Point, 4> before_{};  ///< the newest, and some of the last 3 s: a second apart
    std::optional<Tick> since_;
};

/// Below the room by 5 degrees, having fallen by 10 at least and by 0.3 of what another probe rose; or, where
/// the heating was not seen, 30 below the room beside a probe that is 60 above it.
class ReversedWatch {
  public:
    Quality judge(Quality judged, double value_c, const Surroundings& around);

  private:
    bool begins(double value_c, const Surroundings& around) const;

    std::optional<double> coldest_other_;  ///< before the heating
    double own_then_ = 0;
    int seen_ = 0;
    bool reversed_ = false;
};

/// The very same reading for 120 s and 8 readings, while the probe that moves with it went 25 degrees away.
class RestingWatch {
  public:
    Quality judge(Quality judged, double value_c, Tick now, const Surroundings& around);

  private:
    std::optional<double> value_c_;
    Tick since_;
    int same_ = 0;
    std::optional<double> moving_then_;
    bool rests_ = false;
};

/// All three. Each fresh reading of a temperature, inside its span or not.
class ProbeWatch {
  public:
    Quality judge(Quality judged, double value_c, Tick now, const Surroundings& around);

  private:
    ShortWatch shorted_;
    ReversedWatch reversed_;
    RestingWatch resting_;
};

}  // namespace drumwatch

// When first crack will be marked, with an interval that holds 80 of 100 such roasts; and the drop. PURE.
//
// Model. With a target: the time that the target takes from the present temperature to the crack temperature,
// divided by the ratio of the present rate of rise to the target's, a tenth of it believed (moves and heat
// bring a roast back towards its target). Without one: the rate of rise falls as the last minute shows, but
// flattens out towards what is usual at first crack, 7 C/min (drying fades while exothermic reactions set in;
// 6 to 10 C/min are usual there, from memory). The crack temperature is what earlier roasts of the coffee
// taught, else the target's, else 197 C (from memory). Interval: scatter of the crack temperature over the
// rate there, a person's reaction, and the error of the path, added in squares. The coefficients are
// judgement, to be measured by the backtest.
#pragma once

#include <optional>

#include "core/lessons.hpp"
#include "core/ring_buffer.hpp"
#include "core/snapshot.hpp"
#include "core/tick.hpp"
#include "roast/target/target_curve.hpp"

namespace drumwatch {

struct CrackExpectation {
    double crack_c = 197;
    double spread_c = 4;
    bool from_target = false;
};
CrackExpectation expect_crack(const TargetCurve* target, const Lessons& lessons);

/// How fast the rate of rise falls with temperature, from the last minute of a roast. One reading a second is
/// enough.
class RiseTrend {
  public:
    RiseTrend();
    void clear();
    void add(Tick now, double smooth_c, double rise_per_min);
    /// d(rise)/d(temperature), per minute; 0 until known.
    double slope() const;

  private:
    struct Point {
        Tick at;
        double bean_c;
        double rise_per_min;
    };
    RingBuffer<Point> points_;
};

struct CrackForecast {
    std::optional<ForecastView> view;
    NoForecast why = NoForecast::none;
};

/// `target` may be null. Everything of the present: no sample after `now` is looked at.
CrackForecast forecast_crack(const TargetCurve* target, const CrackExpectation& crack, double elapsed_s,
                             std::optional<double> smooth_c, std::optional<double> rise_per_min,
                             const RiseTrend& trend);

}  // namespace drumwatch

// When first crack comes, with an interval that holds 80 of 100 marks of it as operators file them; and why.
// PURE.
//
// Path. With a target: the time that the target takes from the present temperature to the crack temperature,
// step by step at the target's rate of rise times what the present rate of rise, the burner, the batch's lead
// so far and earlier roasts' pace make of it (burner_lead.hpp, learning.hpp). The present rate is believed by
// nearly half and fades: on made roasts more was worse. Without a target: the rate of rise falls as the last
// minute shows, but flattens out towards what is usual at first crack, 7 C/min (drying fades while exothermic
// reactions set in; 6 to 10 C/min are usual there, from memory).
//
// Crack temperature. What earlier roasts of the coffee taught, the target's own counting as much as two and a
// half of them, else 197 C (from memory).
//
// Interval. The instant of the mark is taken as normal about where the path meets the crack temperature; its
// spread is the crack temperature's scatter over the rate of rise, the path's error and a person's reaction,
// added in squares. What lies before now has not happened: the distribution is cut off there, and forecast
// and interval are its median and its quantiles of 10 and 90 %. A mark comes some seconds after the crack:
// `at_s` is the crack, the interval that of the mark.
#pragma once

#include <optional>

#include "core/lessons.hpp"
#include "core/ring_buffer.hpp"
#include "core/snapshot.hpp"
#include "core/tick.hpp"
#include "roast/forecast/burner_lead.hpp"
#include "roast/target/target_curve.hpp"

namespace drumwatch {

struct CrackExpectation {
    double crack_c = 197;
    double spread_c = 4;
    bool from_target = false;
    int roasts = 0;   ///< earlier ones behind it
    double pace = 0;  ///< logarithm: above zero, slower than the target
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

/// What is known now; pointers may be null but for `trend`.
struct ForecastInput {
    const TargetCurve* target = nullptr;
    CrackExpectation crack;
    double elapsed_s = 0;
    std::optional<double> smooth_c;
    std::optional<double> rise_per_min;
    const RiseTrend* trend = nullptr;
    const BurnerLead* burner = nullptr;
    BurnerLead::PendingMoves pending;
    bool trimmed = false;  ///< somebody is known to have moved the burner off the plan
};

/// Everything of the present: no sample after `now` is looked at.
CrackForecast forecast_crack(const ForecastInput& input);

/// Lets a forecast move without jumping about: a lag of the first order, 5 s.
class SteadyForecast {
  public:
    void clear() { shown_.reset(); }
    CrackForecast add(Tick now, const CrackForecast& fresh, double elapsed_s);

  private:
    std::optional<ForecastView> shown_;
    Tick shown_at_;
};

}  // namespace drumwatch

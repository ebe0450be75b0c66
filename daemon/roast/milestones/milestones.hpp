// Charge, turning point and drop found from the bean temperature alone, each back-dated to when it happened.
// PURE, one thread; no allocation after construction. Feed every fresh good reading, in time order.
#pragma once

#include <cstdint>
#include <optional>

#include "core/ring_buffer.hpp"
#include "core/tick.hpp"

namespace drumwatch {

struct BeanPoint {
    Tick at;
    double bean_c = 0;
};

struct Found {
    Tick at;
    double bean_c = 0;
};

/// Green coffee meets a hot probe: the reading falls by a dozen degrees in a few seconds. Looked for only
/// once the reading has been quiet or rising for a while, so that the fall after a drop is no charge. The
/// instant is where the line through the first degrees of the fall meets the level before it (a first-order
/// probe falls along a straight line at first).
class ChargeDetector {
  public:
    ChargeDetector();
    std::optional<Found> add(BeanPoint point);
    void restart();  ///< after a drop, or when a detection was withdrawn
    /// The reading nearest to `when` among the last 25 s or more, within 3 s of it.
    std::optional<double> near(Tick when) const;

  private:
    bool quiet() const;
    double level_before(Tick fall) const;
    std::optional<Found> back_date(std::size_t top) const;

    RingBuffer<BeanPoint> recent_;
    bool armed_ = false;
    Tick armed_from_;  ///< beginning of the quiet stretch; a fall that began before it is no charge
};

/// The lowest reading after charge: known once the curve has risen again, dated by a parabola through the
/// valley.
class TurningPointDetector {
  public:
    TurningPointDetector();
    void start(Tick charge);
    std::optional<Found> add(BeanPoint point);  ///< at most once a roast

  private:
    std::optional<Found> valley() const;

    RingBuffer<BeanPoint> since_charge_;
    Tick charge_;
    std::optional<BeanPoint> lowest_;
    bool done_ = true;
};

/// The beans leave the probe: the curve breaks away downwards from the line that it followed. Dated by the
/// hinge that fits best. A probe that rises in the empty drum is not told apart from a roast: a person's mark
/// does that.
class DropDetector {
  public:
    DropDetector();
    void start(Tick charge);
    std::optional<Found> add(BeanPoint point);

  private:
    std::optional<Found> hinge(double level, double slope, Tick reference) const;
    double despiked_c(std::size_t i) const;

    RingBuffer<BeanPoint> recent_;
    Tick charge_;
};

}  // namespace drumwatch

// A target as a curve that can be asked: temperature, rise and corridor at a time, time at a temperature.
// PURE, immutable, any thread. Times in seconds since charge, temperatures in degrees C.
#pragma once

#include <optional>
#include <vector>

#include "core/target.hpp"

namespace drumwatch {

class TargetCurve {
  public:
    /// Never null; at least two points, strictly increasing in time (files/target_json checks it).
    explicit TargetCurve(TargetPtr target);

    const Target& target() const { return *target_; }
    const TargetPtr& pointer() const { return target_; }

    /// Straight between points; before the first and after the last the nearest point's value.
    double bean_at(double t_s) const;
    /// Degrees C per minute, over +-5 s.
    double rise_per_min_at(double t_s) const;
    /// When the rising part (from the turning point on) has this temperature; nothing below or above it.
    std::optional<double> time_at(double bean_c) const;
    /// time_at, carried on past the end with the last minute's rise; for forecasts.
    std::optional<double> time_at_or_beyond(double bean_c) const;
    /// Half width: the larger of the tolerance and what the target rises (or falls) in `rise_s` at that
    /// moment. Before `from_s` it opens smoothly, so that nothing is called outside in the steep first
    /// minutes, and after the target's drop, where there is no curve to follow any more.
    double corridor_at(double t_s) const;

    /// All of the above at one time, for the price of one.
    struct Here {
        double bean_c;
        double rise_per_min;
        double corridor_c;
        double hold_corridor_c;  ///< beyond it a batch is held
    };
    Here here(double t_s) const;

    double turning_s() const { return turning_s_; }
    /// The target's own drop: its milestone, else its last point.
    double end_s() const { return end_s_; }
    /// Mean of the last 5 s before end_s().
    double end_c() const { return end_c_; }
    std::optional<double> crack_c() const;
    std::optional<double> crack_s() const;
    /// The target's temperature at charge.
    double charge_c() const { return target_->points.front().bean_c; }

  private:
    std::size_t segment_at(double t_s) const;
    double mean_before_end() const;
    double widened(double least_c, double rise_per_min, double t_s) const;

    TargetPtr target_;
    double turning_s_ = 0;
    double end_s_ = 0;
    double end_c_ = 0;
    double segments_per_s_ = 0;      ///< where points lie at equal distances
    std::size_t turning_ = 0;        ///< index of the lowest point
    std::vector<double> reached_c_;  ///< highest temperature from the lowest point up to each later one
};

}  // namespace drumwatch

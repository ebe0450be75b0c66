#pragma once

#include <cstdint>
#include <deque>
#include <optional>

#include "simulator/floor/floor.hpp"

namespace drumwatch::simulator {

/// Brings the empty drum to a bean-probe reading and holds it there: what an operator does with the burner
/// between batches. Looks once a second.
class Preheater {
  public:
    /// Call every step while the drum is empty. `target_c` is the reading wanted.
    void act(Floor& floor, double target_c);
    /// True once the reading has stayed close and steady for a while.
    bool steady() const { return held_s_ >= kHold_s; }
    void restart() { *this = Preheater(); }

  private:
    double slope_c_s() const;
    static constexpr int kHold_s = 12;
    std::optional<std::int64_t> looked_ms_;
    std::optional<double> holding_for_c_;
    double holding_pct_ = 0.0;
    double sum_pct_ = 0.0;
    std::deque<double> seen_c_;  ///< the last readings, one a second
    int held_s_ = 0;
};

}  // namespace drumwatch::simulator

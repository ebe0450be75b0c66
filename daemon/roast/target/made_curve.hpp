// The curve of make.hpp: several roasts, aligned, the odd ones left out, their middle. PURE.
#pragma once

#include <vector>

#include "roast/target/local_fit.hpp"
#include "roast/target/make.hpp"

namespace drumwatch {

/// One roast's bean temperature, smooth, by the target's clock.
class SmoothRoast {
  public:
    explicit SmoothRoast(const SourceRoast& roast);
    /// Seconds that the roast's own charge lies after the target's; 0 at first.
    double shift_s = 0;
    bool left_out = false;

    double drop_s() const { return drop_s_ + shift_s; }
    /// From the charge to its drop; nothing further on or in a gap.
    std::optional<double> bean_at(double t_s) const;
    std::optional<double> per_second_at(double t_s) const;

  private:
    LocalFit fit_;
    double drop_s_;
    double charge_c_ = 0;
};

class MadeCurve {
  public:
    MadeCurve(const std::vector<SourceRoast>& roasts, std::vector<MakingNote>& notes);

    std::vector<TargetPoint> points() const;  ///< each second and the end
    double end_s() const { return end_s_; }
    const std::vector<SmoothRoast>& roasts() const { return roasts_; }
    /// Of the roasts that were not left out. One that was dropped already goes on as the others rise: were it
    /// gone, the middle would hop to those that went on longest, which were the slow ones.
    std::vector<double> values_at(double t_s) const;

  private:
    void align(std::vector<MakingNote>& notes);
    void leave_out(std::vector<MakingNote>& notes);
    std::vector<double> middle(double to_s) const;
    void set_end();
    void sum_rises();
    std::optional<double> value_of(const SmoothRoast& roast, double t_s) const;
    double risen_c(double t_s) const;

    std::vector<SmoothRoast> roasts_;
    std::vector<double> risen_c_;  ///< what the roasts that still went on had risen by each second, in sum
    double end_s_ = 0;
};

}  // namespace drumwatch

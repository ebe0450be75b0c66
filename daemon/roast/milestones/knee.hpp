// Where readings leave the line that they followed: least squares, after the knee by a further slope or by a
// parabola, before it by a straight rest that is held near nothing (ridge). Private to this room.
#pragma once

#include <array>
#include <cstddef>

namespace drumwatch {

class KneeFit {
  public:
    /// Degrees off the older line at a time in seconds; newest first, each one older than the one before.
    /// More than kMost are left out.
    void add(double t_s, double off_c);
    std::size_t size() const { return count_; }

    struct Knee {
        double at_s = 0;
        double error = 0;  ///< squares left over
    };
    /// The best of the knees from `from_s` to `to_s`, a quarter of a second apart and
    /// refined between.
    Knee sharpest(double from_s, double to_s) const;
    /// Squares left over where a parabola begins at the best of the times up to `before_s` before `knee_s`.
    double bent_error(double knee_s, double before_s) const;

  private:
    static constexpr std::size_t kMost = 128;
    /// Sums over the points after a knee.
    struct After {
        double n = 0, t = 0, tt = 0, ttt = 0, tttt = 0, r = 0, tr = 0, ttr = 0;
        void add(double t_s, double off_c);
    };
    struct Basis {
        double u, tu, uu, ur;  ///< sums of what begins at the knee: alone, with time, itself and the rest
    };
    static Basis straight(const After& after, double knee_s);
    static Basis parabola(const After& after, double knee_s);
    double error(const Basis& basis) const;

    std::array<double, kMost> t_s_;  ///< the first count_ of them
    std::array<double, kMost> off_c_;
    std::size_t count_ = 0;
    After all_;
    double squares_ = 0;
};

}  // namespace drumwatch

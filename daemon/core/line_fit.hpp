// A straight line through points by least squares, from sums that are exact: times are whole milliseconds and
// values whole thousandths, so that a point which was added can be removed again and nothing is left of it.
// Sums that run for days are those of the points that are in them now, whatever went before. PURE, no
// allocation.
//
// Formulas: any text on linear regression; tests/reference/signal holds them against certified values (NIST
// StRD) and GNU Octave.
// Bounds: n * n * |t| * |v| and n * n * t * t below 4e18, e.g. 1000 points within 1000 s and 4000 degrees of
// 0.
#pragma once

#include <cmath>
#include <cstdint>

namespace drumwatch {

class LineFit {
  public:
    void add(std::int64_t t_ms, std::int64_t v_milli) { sum(t_ms, v_milli, 1); }
    /// A point that was added, at its time as counted now.
    void remove(std::int64_t t_ms, std::int64_t v_milli) { sum(t_ms, v_milli, -1); }
    /// Times count from `by_ms` later on: those of all points become smaller by it.
    void move_origin(std::int64_t by_ms) {
        tt_ += by_ms * (n_ * by_ms - 2 * t_);
        tv_ -= by_ms * v_;
        t_ -= n_ * by_ms;
    }

    std::int64_t count() const { return n_; }
    /// Two points at different times, at least; what follows has no meaning without.
    bool has_line() const { return spread() > 0; }
    /// Slope in units (not thousandths) a second.
    double per_second() const { return static_cast<double>(n_ * tv_ - t_ * v_) / spread(); }
    /// The line at `t_ms`, in units.
    double value_at(std::int64_t t_ms) const {
        const double beyond_ms = static_cast<double>(n_ * t_ms - t_);  // n times the way from the mean time
        return (static_cast<double>(v_) + per_second() * beyond_ms) / static_cast<double>(n_) / 1000;
    }
    /// Standard deviation of value_at(t_ms), and of per_second(), where the values' white noise has one of 1.
    double value_noise(std::int64_t t_ms) const {
        const double n = static_cast<double>(n_);
        const double beyond_ms = static_cast<double>(n_ * t_ms - t_);
        return std::sqrt(1 / n + beyond_ms * beyond_ms / (n * spread()));
    }
    double slope_noise() const { return 1000 * std::sqrt(static_cast<double>(n_) / spread()); }
    /// How far beyond its mean time the line can be taken before value_noise exceeds 1: no noisier than a
    /// single point.
    std::int64_t farthest_ms() const {
        const double n = static_cast<double>(n_);
        return static_cast<std::int64_t>((static_cast<double>(t_) + std::sqrt((n - 1) * spread())) / n);
    }

  private:
    void sum(std::int64_t t_ms, std::int64_t v_milli, std::int64_t times) {
        n_ += times;
        t_ += times * t_ms;
        v_ += times * v_milli;
        tt_ += times * t_ms * t_ms;
        tv_ += times * t_ms * v_milli;
    }
    double spread() const { return static_cast<double>(n_ * tt_ - t_ * t_); }

    std::int64_t n_ = 0;
    std::int64_t t_ = 0;
    std::int64_t v_ = 0;
    std::int64_t tt_ = 0;
    std::int64_t tv_ = 0;
};

}  // namespace drumwatch

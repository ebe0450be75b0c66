// The figures of a backtest: what they are and how they add up. PURE but for allocation; one thread.
// An error is forecast minus what came: positive where the forecast was too late.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "core/quantile.hpp"

namespace drumwatch {

/// How far forecasts were off, one beside the other.
class ErrorFigures {
  public:
    void add(double error_s) { errors_s_.push_back(error_s); }
    void add(std::optional<double> error_s);  ///< nothing: there was no forecast
    void add_without() { ++without_; }
    std::size_t count() const { return errors_s_.size(); }
    std::size_t without() const { return without_; }
    std::optional<double> mean_error() const;                  ///< of the sizes
    std::optional<double> bias() const;                        ///< mean of the errors with their signs
    std::optional<double> error_quantile(double share) const;  ///< of the sizes

  private:
    std::vector<double> sizes() const;
    std::vector<double> errors_s_;
    std::size_t without_ = 0;
};

/// How often an interval should hold what comes.
inline constexpr double kAimedShare = 0.8;

/// How often an interval held what came, and how wide it was.
class IntervalFigures {
  public:
    void add(double low, double high, double came);
    std::size_t count() const { return count_; }
    std::size_t held() const { return held_; }
    std::optional<double> share() const;
    std::optional<double> mean_width() const;

  private:
    std::size_t count_ = 0;
    std::size_t held_ = 0;
    double widths_ = 0;
};

/// Between which counts of `n` trials the successes lie 95 times in 100 where each has the chance `share`:
/// from the binomial distribution, at most 2.5 % below and 2.5 % above.
struct ChanceRange {
    std::size_t low = 0;
    std::size_t high = 0;
};
ChanceRange chance_range(std::size_t n, double share);

/// A forecast at a time: both in the file's seconds.
struct ForecastInstant {
    double file_s = 0;
    double instant_s = 0;
};

/// How much a forecast jumps about in the last 180 s before first crack. A forecast that is right from the
/// beginning moves 0 s a second; one that always says "in three minutes" moves 1.
class SteadinessFigures {
  public:
    /// One roast's forecasts, a second apart, in order.
    void add(const std::vector<ForecastInstant>& forecasts, double crack_s);
    std::size_t roasts() const { return movements_.size(); }
    /// The median roast's sum of the forecast instant's changes, without their signs, from second to second,
    /// over the seconds; s per s. Roasts with less than 60 such seconds do not count.
    std::optional<double> movement() const { return quantile(movements_, 0.5); }
    /// How much the forecast instant changed within 10 s, at 95 in 100 of all seconds of all roasts; s.
    std::optional<double> change_in_10_s() const { return quantile(changes_, 0.95); }

  private:
    std::vector<double> movements_;
    std::vector<double> changes_;
};

}  // namespace drumwatch

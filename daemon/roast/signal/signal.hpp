// Conditioning: what is believed of a channel (validation) and a temperature's smooth value and rate of rise.
// PURE, one thread, no allocation. Fresh readings only: a probe that answers once a second is one measurement
// a second.
#pragma once

#include <cstdint>
#include <optional>

#include "core/channel.hpp"
#include "core/reading.hpp"
#include "core/tick.hpp"

namespace drumwatch {

/// Decides the quality of one channel's fresh samples. The raw value always stays beside it.
/// - outside the span: out_of_span;
/// - a temperature that moved faster than kJumpPerSecond since the last good one: suspect, until the next
/// fresh reading
///   confirms the new level (a bare jump is one sample wide, a real leap stays). A suspect value is never
///   withheld from the overtemperature rules.
class Validator {
  public:
    explicit Validator(const Channel& channel);
    Quality judge(const Sample& sample, Tick now);

  private:
    bool jumped(double value, Tick now) const;

    Milli low_;
    Milli high_;
    bool temperature_;
    std::optional<double> last_;  ///< newest believed value
    std::optional<double> odd_;   ///< newest suspect value
    Tick last_at_;
    Quality held_ = Quality::never_read;
};

/// A line through the fresh readings of the last window, by least squares; its end at "now" is the smooth
/// value, its slope the rate of rise. With the 10 s window: the slope lags 5 s, the value not at all on a
/// straight curve. Noise of the slope for white noise s and n readings dt apart: s * sqrt(12 / n^3) / dt
/// (least squares of a line; any text on regression): 0.15 C at 4 Hz gives 0.49 C/min.
class Smoother {
  public:
    static constexpr std::int64_t kWindowMs = 10'000;
    static constexpr std::int64_t kForgetMs = 3'000;  ///< a longer gap starts a new line

    void add(Tick at, double value);
    void clear() { size_ = 0; }

    struct Line {
        double value;       ///< at `now`
        double per_second;  ///< slope
    };
    /// Nothing with fewer than 4 readings over 1.5 s, or when the newest is older than kForgetMs.
    std::optional<Line> at(Tick now) const;

  private:
    struct Point {
        Tick at;
        double value;
    };
    static constexpr std::size_t kCapacity = 128;  ///< 10 s at 10 Hz, with room
    const Point& point(std::size_t i) const { return points_[(first_ + i) % kCapacity]; }

    Point points_[kCapacity];
    std::size_t first_ = 0;
    std::size_t size_ = 0;
};

}  // namespace drumwatch

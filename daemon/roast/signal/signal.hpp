// Conditioning: what is believed of a channel (validation) and a temperature's smooth value and rate of rise.
// PURE, one thread, no allocation. Fresh readings only: a probe that answers once a second is one measurement
// a second.
#pragma once

#include <cstdint>
#include <optional>

#include "core/channel.hpp"
#include "core/fixed_list.hpp"
#include "core/line_fit.hpp"
#include "core/reading.hpp"
#include "core/tick.hpp"

namespace drumwatch {

/// Decides the quality of one channel's fresh samples. The raw value always stays beside it.
/// - outside the span: out_of_span;
/// - a temperature that moved faster than kJumpPerSecond since the last good one: suspect, until the next
///   fresh reading confirms the new level (a bare jump is one sample wide, a real leap stays). A suspect
///   value is never withheld from the overtemperature rules.
class Validator {
  public:
    explicit Validator(const Channel& channel);
    Quality judge(const Sample& sample, Tick now);

  private:
    bool jumped(Milli value, Tick now) const;

    Milli low_;
    Milli high_;
    bool temperature_;
    bool known_ = false;
    Milli last_ = 0;            ///< newest believed value, once one is known
    std::optional<Milli> odd_;  ///< newest suspect value
    Tick last_at_;
    Quality held_ = Quality::never_read;
};

/// A bean probe that stands still while coffee is in the drum: the very same reading again and again for
/// 10 s and 8 readings at least, where the rise that was seen before would have moved it far. How far: three
/// of its own steps where the exhaust goes on rising, else seven, for a coarse one that comes to its peak as
/// the roast stalls rests on one step as well; falling towards the turning point ten; never less than 1.2 C.
/// Below 3 C/min nobody can tell so soon: there it must be 90 s, and the exhaust be 3 C elsewhere. Numbers:
/// the parabola round a peak, and judgement.
class StandStill {
  public:
    /// A fresh reading inside the span; the rise as it was seen up to the reading before; the exhaust's
    /// smooth value in C, where there is one.
    void add(Tick now, Milli value, double rise_per_min, std::optional<double> exhaust_c);
    void clear() { *this = {}; }
    bool frozen() const { return frozen_; }
    /// It stands longer than its steps explain, and is not known to be frozen yet: for 6 s at least, where
    /// the rise that was seen before would have moved it by one and a half of them; for 90 s at most. And for
    /// a window of the smoothing after it thawed by two steps or more: until then the line is no rise.
    bool doubtful() const { return stands_ || settles_; }
    /// Nor does an exhaust that fell by 3 C explain it.
    bool unexplained() const { return doubtful() && !exhaust_falls_; }
    /// A reading outside a roast: what was frozen stays so until it moves.
    void rest(Milli value) {
        if (!frozen_ || value_ != value) clear();
    }

  private:
    Milli moves_at_least(std::optional<double> exhaust_moved_c) const;
    std::optional<double> exhaust_moved(std::optional<double> exhaust_c) const;
    void change_to(Tick now, Milli value, double rise_per_min, std::optional<double> exhaust_c);

    std::optional<Milli> value_;
    Tick since_;
    int same_ = 0;
    double rise_per_min_ = 0;
    std::optional<double> exhaust_c_;  ///< when the reading last changed
    Milli step_ = 0;                   ///< the smallest change so far; 0: none yet
    Tick settles_until_;
    bool frozen_ = false;
    bool stands_ = false;
    bool settles_ = false;
    bool exhaust_falls_ = false;
};

/// Smooth value and rate of rise of a temperature: a line through the believed readings of the last 10 s, by
/// least squares; its end at "now" is the smooth value, its slope the rate of rise.
/// - Lag: the slope is that of half a window ago, 5 s and the newest reading's age; the value has none on a
///   straight curve.
/// - Noise of the slope, for white noise s and n readings dt apart: s * sqrt(12 / n^3) / dt (any text on
///   regression): 0.15 C at 4 Hz gives 0.49 C/min.
/// - Nothing older than the window is in it. DEVELOPERS.md has the alternatives that were measured.
///
/// Despiking: a reading is believed if it lies where the line or the last second's trend expects it, within
/// kOddMilli. One that does not is held: back where it was expected, the next ones were a spike, and what was
/// held is dropped. What goes on in the same direction at a rate that a probe can have is a fall (charge,
/// drop): believed with the second reading. What stays is a leap: believed after kConfirmMs and three
/// readings, and the line begins anew there.
///
/// Lag of the probe: with a known one, the value is that of the line so much later (a first-order probe on a
/// straight curve is late by its time constant), but never where it would be noisier than a bare reading.
/// The rate of rise stays as it is: its own lag could only be made up for with noise above what is allowed.
class Smoother {
  public:
    static constexpr std::int64_t kWindowMs = 10'000;
    static constexpr std::int64_t kForgetMs =
        4'500;  ///< a longer gap starts a new line: 3 s open and a reading
    static constexpr std::int64_t kLeastMs = 3'000;  ///< between a line's first and last reading
    static constexpr std::int64_t kConfirmMs = 500;
    static constexpr Milli kOddMilli = 2'000;

    explicit Smoother(std::int64_t probe_lag_ms = 0) : probe_lag_ms_(probe_lag_ms) {}
    /// A fresh reading; times go forward.
    void add(Tick at, Milli value);
    void clear();

    struct Line {
        double value;       ///< at `now`
        double per_second;  ///< slope
    };
    /// Nothing with fewer than 4 readings over kLeastMs, or when the newest is older than kForgetMs.
    std::optional<Line> at(Tick now) const;
    /// How many were dropped since the beginning that lay 2.5 degrees out or more (from 125 degrees on: a
    /// fiftieth).
    std::uint32_t spikes() const { return spikes_; }

  private:
    struct Point {
        Tick at;
        Milli value = 0;
    };
    static constexpr std::size_t kCapacity = 128;  ///< 10 s at 10 Hz, with room
    const Point& point(std::size_t i) const { return points_[(first_ + i) % kCapacity]; }
    const Point& newest() const { return point(size_ - 1); }
    double trend_milli(Tick at) const;
    double off_milli(const Point& reading) const;
    bool expected(const Point& reading) const;
    std::optional<double> going_on(const Point& reading) const;
    bool falls(const Point& reading, double share) const;
    void believe(const Point& reading);
    void believe_held();
    void drop_held(Milli next);
    void begin_line();
    void forget_oldest();

    std::int64_t probe_lag_ms_;
    Point points_[kCapacity];
    std::size_t first_ = 0;
    std::size_t size_ = 0;
    LineFit line_;  ///< through points_; times count from the newest
    std::uint32_t spikes_ = 0;
    FixedList<Point, 8> held_;  ///< odd ones, oldest first: 0.5 s at 10 Hz, with room
};

}  // namespace drumwatch

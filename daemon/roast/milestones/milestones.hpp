// Charge, turning point and drop found from the bean temperature alone, each back-dated to when it happened,
// with what it was found by and how sure that is. PURE, one thread; no allocation after construction. Feed
// every fresh reading that has a value, suspect ones too (what looks like a spike may be a charge), in time
// order. Limits are judgement, tuned on made roasts
// (tests/support/made_roasts).
#pragma once

#include <array>
#include <cstdint>
#include <optional>

#include "core/line_fit.hpp"
#include "core/milestone.hpp"
#include "core/ring_buffer.hpp"
#include "core/tick.hpp"
#include "roast/milestones/curve_line.hpp"
#include "roast/milestones/hinge.hpp"

namespace drumwatch {

struct Found {
    Tick at;
    double bean_c = 0;
    MilestoneWhy why{};
};

/// Takes spikes of one or two readings out (the middle one of five, or of three after a gap), and stretches
/// in which a dead probe shows something that no probe in a drum can: a point is given on one or two readings
/// later, or not at all.
class ReadingSieve {
  public:
    std::optional<BeanPoint> add(BeanPoint point);

  private:
    std::optional<BeanPoint> middle() const;
    bool believable(BeanPoint point, bool after_gap);

    std::array<BeanPoint, 5> last_{};
    std::size_t count_ = 0;
    bool after_gap_ = false;
    std::optional<BeanPoint> believed_;
    std::optional<Tick> odd_since_;
};

/// Green coffee meets a hot probe: the reading breaks away downwards and heads for half of what it was, or
/// less. An opened door or an emptied drum does not lead so far. The instant is where the fall, drawn
/// straight by the law of a first-order probe, meets the line that the reading followed before.
class ChargeDetector {
  public:
    ChargeDetector();
    std::optional<Found> add(BeanPoint point);  ///< once, until it is begun anew
    void restart();  ///< after a drop, or when a detection was taken over or withdrawn
    /// A roast that began before the readings may be in the drum: only a very deep fall is a charge.
    void be_strict(bool strict) { strict_ = strict; }
    /// The reading nearest to `when` among the last 25 s or more, within 3 s of it.
    std::optional<double> near(Tick when) const;
    /// What was read last, oldest first; a batch that was found late is told what it missed.
    const RingBuffer<BeanPoint>& recent() const { return recent_; }

  private:
    struct Fall {
        std::size_t knee = 0;  ///< about where it began
        double steepest_per_s = 0;
    };
    bool fell() const;
    double steepness(std::size_t from, std::size_t to) const;
    std::optional<Fall> fall() const;
    std::optional<CurveLine> line_before(const Fall& fall) const;
    bool deep_enough(const Fall& fall, const CurveLine& before) const;
    std::optional<Found> back_date(const Fall& fall, const CurveLine& before) const;
    std::size_t earlier(std::size_t from, std::int64_t by_ms) const;

    ReadingSieve sieve_;
    RingBuffer<BeanPoint> recent_;
    double highest_c_ = 0;  ///< of all in recent_, or higher
    bool strict_ = false;
    bool found_ = false;
};

/// Whether what looked like a charge was one: the reading of an opened door, or of a drum that was emptied
/// again, comes back faster than coffee warms.
class ChargeDoubt {
  public:
    ChargeDoubt();
    void start(Tick charge, double level_c);
    /// What the reading rose by within kWithin_ms, once that is too fast for coffee.
    std::optional<double> add(BeanPoint point);
    static constexpr std::int64_t kWithin_ms = 8'000;

  private:
    struct Span {
        double low_c, high_c;
        std::int64_t long_ms;
        int changes;  ///< of the reading
    };
    Span span(std::int64_t last_ms) const;
    bool at_rest(Tick now) const;

    ReadingSieve sieve_;
    RingBuffer<BeanPoint> recent_;
    Tick charge_;
    double level_c_ = 0;
    double lowest_c_ = 0;
    double fastest_c_ = 0;  ///< most that it rose within kWithin_ms
    Tick changed_;
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

    ReadingSieve sieve_;
    RingBuffer<BeanPoint> since_charge_;
    Tick charge_;
    std::optional<BeanPoint> lowest_;
    bool done_ = true;
};

/// The beans leave the probe: the curve breaks away from the line that it followed and stays away, downwards
/// as a rule, upwards where the emptied drum is hotter than the beans were. A dip from which it comes back
/// within seconds (an opened door, a spoon) is none. Dated by the hinge that fits best.
class DropDetector {
  public:
    DropDetector();
    void start(Tick charge, std::int64_t earliest_ms = 120'000);
    /// A preheat falls slowly too: where coffee is not known to be in the drum, that is no drop.
    void believe_slow_falls(bool believe) { slow_falls_ = believe; }
    /// `judge_breaks` false: where a drop would not be believed, that work is left out.
    std::optional<Found> add(BeanPoint point, bool judge_breaks = true);
    /// The line that the curve followed last; nothing where none is known.
    const std::optional<CurveLine>& line() const { return line_; }
    /// The last reading took much work: what else there is to do may wait for the next.
    bool worked_hard() const { return worked_hard_; }

  private:
    void keep(BeanPoint point);
    void draw_line(Tick now);
    void after_gap(BeanPoint point, std::int64_t gap_ms);
    void watch_break(BeanPoint point);
    void go_on_from(BeanPoint point, double per_s);
    std::optional<Found> judge_break(BeanPoint point);
    std::optional<Found> judge_gap(BeanPoint point);
    bool falls_away(double per_s) const;
    double course() const;
    void keep_course();
    std::optional<double> read_before(Tick when) const;
    /// The curve has been off its line for so long, and in such a way, that a drop may be the reason.
    struct Break {
        Tick since;
        Tick now;
        std::int64_t stays_ms = 0;
        double away_c = 0;
        double per_s = 0;
        bool far = false;
        bool falls = false;
    };
    std::optional<Break> look_for_break(BeanPoint point);
    std::optional<Found> judge(const Break& looked_at, const Hinge& hinge) const;

    ReadingSieve sieve_;
    RingBuffer<BeanPoint> recent_;
    RingBuffer<BeanPoint> seconds_;  ///< means of a second each
    double sum_c_ = 0;               ///< of the second that runs
    int count_ = 0;
    Tick second_from_;
    std::optional<CurveLine> line_;
    Tick line_since_;  ///< it is not drawn through what lies before
    std::optional<Tick> away_since_;
    double away_c_ = 0;      ///< now, smoothed; with its sign
    double smoothed_s_ = 0;  ///< smoothing_ is for this step
    double smoothing_ = 0;
    double furthest_c_ = 0;
    bool slow_falls_ = true;
    LineFit course_;  ///< of the last seconds; times count from the newest reading
    bool worked_hard_ = false;
    std::optional<Break> break_;  ///< its hinge is being looked for
    HingeSearch hinge_;
    std::optional<BeanPoint> before_gap_;
    Tick gap_end_;
    Tick charge_;
    std::int64_t earliest_ms_ = 0;
};

/// Whether what looked like a drop was one: the reading of an opened door or of a spoon comes back to the
/// line and follows it on; the one of an emptied drum crosses it at most.
class DropDoubt {
  public:
    DropDoubt();
    /// `line`: what the curve followed before; without one nothing is doubted.
    void start(std::optional<CurveLine> line, Tick dropped, BeanPoint now);
    void stop() { line_.reset(); }
    bool watches() const { return line_.has_value(); }
    bool add(BeanPoint point);  ///< true once: the coffee is in the drum still

  private:
    CurveLine expected(Tick now) const;

    ReadingSieve sieve_;
    RingBuffer<BeanPoint> back_;  ///< near the line, without a break
    std::optional<CurveLine> line_;
    Tick dropped_;
    BeanPoint lowest_;  ///< since the drop was said
};

/// A recording that begins with a roast in the drum: its turning point tells it, or else its drop. Told from
/// a preheat by the shape only, so a charge goes before it.
class LateStart {
  public:
    struct Milestones {
        Tick first;  ///< the first reading; the charge lies before it
        std::optional<Found> turning_point;
        std::optional<Found> drop;
    };
    std::optional<Milestones> add(BeanPoint point);  ///< at most once
    /// A fall that begins now may be the drop of such a roast.
    bool may_roast() const { return may_roast_ && !over_; }
    void stop() { over_ = true; }  ///< a charge was found or marked: nothing began before

  private:
    void begin(BeanPoint point);
    bool may_be_roasting() const;
    bool rises_like_a_roast(double now_c) const;
    bool is_turning_point(const Found& found) const;

    ReadingSieve sieve_;
    TurningPointDetector turning_;
    DropDetector drop_;
    std::optional<BeanPoint> first_;
    double lowest_c_ = 0;
    std::optional<Found> dropped_;
    bool may_roast_ = false;
    bool over_ = false;
};

}  // namespace drumwatch

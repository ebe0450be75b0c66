#include <algorithm>
#include <array>
#include <cmath>

#include "core/line_fit.hpp"
#include "roast/milestones/milestones.hpp"

namespace drumwatch {

namespace {
constexpr double kHotEnough_c = 150;
constexpr double kHotEnoughToRise_c = 178;
constexpr std::int64_t kLineFrom_ms = 34'000;  // the line is fitted from here ...
constexpr std::int64_t kLineTo_ms = 10'000;    // ... to here before now
constexpr std::int64_t kDrawnFor_ms = 1'800;   // anew each other second
constexpr std::int64_t kLineAtLeast_ms = 10'000;
constexpr std::int64_t kLineSeconds = 6;
constexpr double kOffTheLine_c = 1.5;  // a second further off is left out of it: a dip
constexpr double kAway_c = 1.2;
constexpr std::int64_t kAwayAtMost_ms = 18'000;
constexpr double kSmooth_s = 0.8;
constexpr std::int64_t kStays_ms = 8'000;  // an opened door or a spoon is over by then
constexpr std::int64_t kStaysUnclear_ms = 10'000;
constexpr double kClear_c = 14;
constexpr double kFar_c = 20;  // ... or it is further than they lead
constexpr double kBelow_c = 3.5;
constexpr double kAbove_c = 3;
constexpr double kComesBack_c = 0.6;  // a dip that ends
constexpr std::int64_t kDipAtLeast_ms = 4'000;
constexpr double kBeside_c_per_s = 0.1;
constexpr std::int64_t kLineAtMost_ms = 50'000;
constexpr std::int64_t kFallsLong_ms = 25'000;  // coffee never does
constexpr double kFallsLong_c = 6;
constexpr int kBentSure = 60;  // percent, where it breaks away without a knee
constexpr double kFalls_c_per_s = -0.15;
constexpr double kFallsSlowly_c_per_s = -0.05;  // where it is so far off its line:
constexpr double kFarForSlow_c = 6;
constexpr double kCoffeeRises_c_per_s = 0.03;  // a line that does not was drawn through a dip
constexpr double kRisesMore_c_per_s = 0.25;
constexpr std::int64_t kCourse_ms = 6'000;
constexpr std::int64_t kReadBefore_ms = 1'500;  // one reading at 1 Hz, some at 4
constexpr double kBending = 1.15;               // of the mean since the hinge: faster now, and it still bends
constexpr double kBendingNoise_c_per_s = 0.03;
constexpr std::int64_t kGap_ms = 8'000;
constexpr std::int64_t kAfterGap_ms = 4'000;
constexpr double kLowerAfterGap_c = 8;
constexpr std::size_t kKept = 400;  // 40 s at 10 Hz
constexpr std::size_t kSeconds = 40;

double middle(std::array<double, kSeconds>& values, std::size_t n) {
    const auto half = values.begin() + static_cast<std::ptrdiff_t>(n / 2);
    std::nth_element(values.begin(), half, values.begin() + static_cast<std::ptrdiff_t>(n));
    return *half;
}
}  // namespace

DropDetector::DropDetector() : recent_(kKept), seconds_(kSeconds) {}

void DropDetector::start(Tick charge, std::int64_t earliest_ms) {
    recent_.clear();
    course_ = {};
    seconds_.clear();
    count_ = 0;
    sum_c_ = 0;
    line_.reset();
    line_since_ = charge;
    away_since_.reset();
    break_.reset();
    before_gap_.reset();
    charge_ = charge;
    earliest_ms_ = earliest_ms;
}

void DropDetector::keep(BeanPoint point) {
    recent_.push(point);
    keep_course();
    if (count_ == 0) second_from_ = point.at;
    sum_c_ += point.bean_c;
    ++count_;
    const std::int64_t long_ms = point.at - second_from_;
    if (long_ms < 750) return;
    seconds_.push({second_from_ + long_ms / 2, sum_c_ / count_});
    count_ = 0;
    sum_c_ = 0;
    if (!away_since_ && (!line_ || point.at - line_->from >= kDrawnFor_ms)) draw_line(point.at);
}

/// By the middle of the slopes over half the length first: a dip within it does not bend it. Then by least
/// squares through what lies near that.
void DropDetector::draw_line(Tick now) {
    worked_hard_ = true;
    if (line_ && now - line_->from > kLineAtMost_ms) line_.reset();
    std::size_t first = seconds_.size(), last = 0;
    for (std::size_t i = 0; i < seconds_.size(); ++i) {
        const std::int64_t age = now - seconds_[i].at;
        if (age > kLineFrom_ms || age < kLineTo_ms || seconds_[i].at < line_since_) continue;
        first = std::min(first, i);
        last = i + 1;
    }
    if (last < first + static_cast<std::size_t>(kLineSeconds) ||
        seconds_[last - 1].at - seconds_[first].at < kLineAtLeast_ms)
        return;
    const std::size_t half = (last - first) / 2;
    std::array<double, kSeconds> values{};
    std::size_t n = 0;
    for (std::size_t i = first; i + half < last; ++i)
        values[n++] = (seconds_[i + half].bean_c - seconds_[i].bean_c) /
                      seconds_between(seconds_[i].at, seconds_[i + half].at);
    CurveLine rough{now, 0, middle(values, n)};
    n = 0;
    for (std::size_t i = first; i < last; ++i) values[n++] = seconds_[i].bean_c - rough.at(seconds_[i].at);
    rough.level_c = middle(values, n);
    LineFit fit;
    for (std::size_t i = first; i < last; ++i) {
        const BeanPoint& second = seconds_[i];
        if (std::fabs(second.bean_c - rough.at(second.at)) <= kOffTheLine_c)
            fit.add(second.at - now, to_milli(second.bean_c).value_or(0));
    }
    if (fit.count() >= kLineSeconds && fit.has_line())
        line_ = CurveLine{now, fit.value_at(0), fit.per_second()};
}

/// A dip is over where the curve goes on beside its line: from there the line goes on as well.
void DropDetector::go_on_from(BeanPoint point, double per_s) {
    line_ = CurveLine{point.at, point.bean_c, per_s};
    line_since_ = point.at;
    away_since_.reset();
    away_c_ = 0;
}

/// How far from the line it is now, and since when.
void DropDetector::watch_break(BeanPoint point) {
    if (!line_) return;
    const double off_c = point.bean_c - line_->at(point.at);
    const double step_s = recent_.size() > 0 ? seconds_between(recent_.back().at, point.at) : 1;
    if (step_s != smoothed_s_) {
        smoothed_s_ = step_s;
        smoothing_ = 1 - std::exp(-step_s / kSmooth_s);
    }
    away_c_ += (off_c - away_c_) * smoothing_;
    const bool away = std::fabs(away_c_) >= kAway_c;
    if (away_since_ && (!away || (away_c_ > 0) != (furthest_c_ > 0))) away_since_.reset();
    if (!away) return;
    if (!away_since_) {
        away_since_ = point.at;
        furthest_c_ = away_c_;
        return;
    }
    if (std::fabs(away_c_) > std::fabs(furthest_c_)) furthest_c_ = away_c_;
    if (std::fabs(away_c_) <= std::fabs(furthest_c_) - kComesBack_c) {
        away_since_ = point.at;  // a dip that ends: what comes now is looked at anew
        furthest_c_ = away_c_;
    }
    const std::int64_t long_ms = point.at - *away_since_;
    if (long_ms < kDipAtLeast_ms || break_) return;
    const double per_s = course();
    const bool beside = std::fabs(per_s - line_->per_s) <= kBeside_c_per_s;
    if (beside) go_on_from(point, line_->per_s);
    if (!beside && long_ms > kAwayAtMost_ms && !falls_away(per_s)) go_on_from(point, per_s);
}

bool DropDetector::falls_away(double per_s) const {
    return (away_c_ <= -kBelow_c && per_s <= kFalls_c_per_s) ||
           (slow_falls_ && away_c_ <= -kFarForSlow_c && per_s <= kFallsSlowly_c_per_s);
}

std::optional<DropDetector::Break> DropDetector::look_for_break(BeanPoint point) {
    const std::int64_t long_ms = point.at - *away_since_;
    const bool far = away_c_ <= -kFar_c && long_ms >= 2'000;
    const std::int64_t stays_ms = away_c_ <= -kClear_c ? kStays_ms : kStaysUnclear_ms;
    if (long_ms < stays_ms && !far) return std::nullopt;
    const double per_s = course();
    const bool falls = falls_away(per_s);
    const bool rises = away_c_ >= kAbove_c && per_s >= line_->per_s + kRisesMore_c_per_s &&
                       line_->per_s >= kCoffeeRises_c_per_s && line_->at(*away_since_) >= kHotEnoughToRise_c;
    if (!falls && !rises) return std::nullopt;
    return Break{*away_since_, point.at, stays_ms, away_c_, per_s, far, falls};
}

std::optional<Found> DropDetector::judge(const Break& off, const Hinge& hinge) const {
    if (off.now - hinge.at < off.stays_ms && !off.far)
        return std::nullopt;  // a second dip, off the line since the first
    const double size_c = std::fabs(off.away_c);
    const double mean_per_s = size_c / std::fmax(1, seconds_between(hinge.at, off.now));
    const bool bends = std::fabs(off.per_s - line_->per_s) > kBending * mean_per_s + kBendingNoise_c_per_s;
    const bool long_fall = off.falls && off.now - off.since >= kFallsLong_ms && off.away_c <= -kFallsLong_c;
    if ((!hinge.sharp || bends) && off.away_c > -kClear_c && !long_fall) return std::nullopt;
    Found found{hinge.at, read_before(hinge.at).value_or(line_->at(hinge.at))};
    const int sure = !hinge.sharp || bends ? kBentSure : off.far ? 95 : size_c > 6 ? 90 : off.falls ? 80 : 70;
    found.why = {off.falls ? FoundBy::broke_down : FoundBy::broke_up, static_cast<std::uint8_t>(sure),
                 to_milli(size_c).value_or(0)};
    return found;
}

/// A break is looked at over some readings, each with its share of the work.
std::optional<Found> DropDetector::judge_break(BeanPoint point) {
    const bool off = away_since_ && line_->at(*away_since_) >= kHotEnough_c;
    if (!off || (break_ && break_->since != *away_since_)) break_.reset();
    if (!off) return std::nullopt;
    worked_hard_ = true;
    if (break_) {
        const auto hinge = hinge_.go_on(recent_, *line_, break_->since);
        if (!hinge) return std::nullopt;
        const bool slow = break_->per_s > kFalls_c_per_s;
        const double still_per_s = slow ? kFallsSlowly_c_per_s : kFalls_c_per_s;
        const bool turned = break_->falls && course() > still_per_s;  // a door that is shut again
        if (const auto found = turned ? std::nullopt : judge(*break_, *hinge)) {
            break_.reset();
            return found;
        }
    }
    break_ = look_for_break(point);  // anew: it goes on
    hinge_.start();
    return std::nullopt;
}

/// The mean of the readings up to then: the line is up to 34 s old, and the rise wanes.
std::optional<double> DropDetector::read_before(Tick when) const {
    double sum_c = 0;
    int count = 0;
    for (std::size_t i = recent_.size(); i-- > 0;) {
        if (recent_[i].at > when) continue;
        if (when - recent_[i].at > kReadBefore_ms) break;
        sum_c += recent_[i].bean_c;
        ++count;
    }
    if (count == 0) return std::nullopt;
    return sum_c / count;
}

/// Of the last readings, degrees a second.
double DropDetector::course() const { return course_.has_line() ? course_.per_second() : 0; }

void DropDetector::keep_course() {
    const BeanPoint& now = recent_.back();
    if (course_.count() > 0) course_.move_origin(now.at - recent_[recent_.size() - 2].at);
    course_.add(0, to_milli(now.bean_c).value_or(0));
    for (;;) {
        const BeanPoint& oldest = recent_[recent_.size() - static_cast<std::size_t>(course_.count())];
        if (now.at - oldest.at <= kCourse_ms) return;
        course_.remove(oldest.at - now.at, to_milli(oldest.bean_c).value_or(0));
    }
}

void DropDetector::after_gap(BeanPoint point, std::int64_t gap_ms) {
    if (!before_gap_ || point.at - gap_end_ > kAfterGap_ms) {
        before_gap_ = recent_.back();
        if (line_ && gap_ms < kLineFrom_ms) before_gap_->bean_c = line_->at(before_gap_->at);
    }
    gap_end_ = point.at;
    seconds_.clear();
    recent_.clear();
    course_ = {};
    count_ = 0;
    sum_c_ = 0;
    line_.reset();
    away_since_.reset();
    break_.reset();
    away_c_ = 0;
}

/// Coffee in the drum gets no colder: what is much lower after a gap was dropped in it.
std::optional<Found> DropDetector::judge_gap(BeanPoint point) {
    if (!before_gap_) return std::nullopt;
    const bool lower =
        before_gap_->bean_c >= kHotEnough_c + 30 && point.bean_c < before_gap_->bean_c - kLowerAfterGap_c;
    if (!lower) before_gap_.reset();
    if (!lower || point.at - gap_end_ < kAfterGap_ms) return std::nullopt;
    const std::int64_t gap_ms = gap_end_ - before_gap_->at;
    const Found found{
        before_gap_->at + gap_ms / 2,
        before_gap_->bean_c,
        {FoundBy::lower_after_gap, 30, static_cast<Milli>(std::min<std::int64_t>(gap_ms, 1'000'000'000))}};
    before_gap_.reset();
    return found;
}

std::optional<Found> DropDetector::add(BeanPoint read, bool judge_breaks) {
    worked_hard_ = false;
    const auto point = sieve_.add(read);
    if (!point) return std::nullopt;
    if (recent_.size() > 0 && point->at - recent_.back().at > kGap_ms)
        after_gap(*point, point->at - recent_.back().at);
    watch_break(*point);
    keep(*point);
    if (point->at - charge_ < earliest_ms_) return std::nullopt;
    if (const auto found = judge_gap(*point)) return found;
    if (!judge_breaks) break_.reset();
    return judge_breaks ? judge_break(*point) : std::nullopt;
}

}  // namespace drumwatch

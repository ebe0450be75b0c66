#include <cmath>
#include <cstdlib>

#include "core/line_fit.hpp"
#include "roast/milestones/milestones.hpp"

namespace drumwatch {

namespace {
constexpr std::int64_t kWatched_ms = 90'000;
// A door or a spoon is out again by then; an emptied drum goes on falling.
constexpr std::int64_t kTurnsWithin_ms = 15'000;
constexpr double kDeepest_c = 20;  // nor does it reach so deep
constexpr std::int64_t kFollows_ms = 16'000;
constexpr double kBelow_c = 3.5;
constexpr double kAbove_c = 2;
constexpr std::int64_t kMiddle_ms = 22'000;  // of the readings that the line was drawn through
constexpr double kSlows_s = 280;             // the rise of a roast wanes with about this time constant
// The reading of an emptied drum that crosses the line is steeper than coffee that follows it.
constexpr double kAlike_c_per_s = 0.10;
constexpr std::size_t kKept = 160;
}  // namespace

DropDoubt::DropDoubt() : back_(kKept) {}

void DropDoubt::start(std::optional<CurveLine> line, Tick dropped, BeanPoint now) {
    back_.clear();
    line_ = line;
    dropped_ = dropped;
    lowest_ = {dropped, now.bean_c};  // whether it still falls, what comes next shows
}

CurveLine DropDoubt::expected(Tick now) const {
    const Tick middle = line_->from - kMiddle_ms;
    const double left = std::exp(-seconds_between(middle, now) / kSlows_s);
    return {now, line_->at(middle) + line_->per_s * kSlows_s * (1 - left), line_->per_s * left};
}

bool DropDoubt::add(BeanPoint read) {
    const auto point = line_ ? sieve_.add(read) : std::nullopt;
    if (!point) return false;
    const bool still_falls = lowest_.at - dropped_ > kTurnsWithin_ms;
    if (point->at - dropped_ > kWatched_ms || still_falls) {
        line_.reset();
        return false;
    }
    if (point->bean_c < lowest_.bean_c) lowest_ = *point;
    if (expected(lowest_.at).level_c - lowest_.bean_c > kDeepest_c) {
        line_.reset();
        return false;
    }
    const CurveLine coffee = expected(point->at);
    const double off_c = point->bean_c - coffee.level_c;
    const bool near = off_c >= -kBelow_c && off_c <= kAbove_c;
    if (!near || (back_.size() > 0 && point->at - back_.back().at > kFollows_ms / 2)) back_.clear();
    if (!near) return false;
    back_.push(*point);
    if (point->at - back_[0].at < kFollows_ms) return false;
    LineFit fit;
    for (std::size_t i = 0; i < back_.size(); ++i)
        fit.add(back_[i].at - point->at, to_milli(back_[i].bean_c).value_or(0));
    if (!fit.has_line() || std::fabs(fit.per_second() - coffee.per_s) > kAlike_c_per_s) return false;
    line_.reset();
    return true;
}

}  // namespace drumwatch

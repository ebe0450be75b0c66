#include "roast/forecast/learning.hpp"

#include <algorithm>
#include <cmath>

namespace drumwatch {

namespace {
constexpr double kKept = 0.87;      // of what earlier roasts count for, at each further one
constexpr double kWild_c = 4.0;     // a mark further from the mean counts as if it were here
constexpr double kFarFromTarget_c = 10;  // so does one further from the target's own: a first one has no mean
constexpr double kWildPace = 0.15;       // log
constexpr double kLeastStretch_s = 60;
constexpr double kDoubted = 0.5;  // roasts that old knowledge is worth after a change
}  // namespace

std::optional<double> pace_of(const TargetCurve& target, const Stretch& stretch) {
    const auto yellow_s = target.time_at(stretch.yellow_c);
    const auto crack_s = target.time_at_or_beyond(stretch.crack_c);
    if (!yellow_s || !crack_s) return std::nullopt;
    const double took_s = stretch.crack_s - stretch.yellow_s;
    const double planned_s = *crack_s - *yellow_s;
    if (took_s < kLeastStretch_s || planned_s < kLeastStretch_s) return std::nullopt;
    return std::log(took_s / planned_s);
}

std::optional<Lesson> lesson_of(const MilestoneSet& milestones, const TargetCurve* target) {
    const auto& charge = milestones[static_cast<std::size_t>(Milestone::charge)];
    const auto& yellow = milestones[static_cast<std::size_t>(Milestone::yellow)];
    const auto& crack = milestones[static_cast<std::size_t>(Milestone::first_crack)];
    if (!charge || !crack || crack->source != MarkSource::mark || !crack->bean_milli) return std::nullopt;
    Lesson lesson;
    lesson.crack_c = from_milli(*crack->bean_milli);
    if (const auto own = target ? target->crack_c() : std::nullopt)
        lesson.crack_c = std::clamp(lesson.crack_c, *own - kFarFromTarget_c, *own + kFarFromTarget_c);
    if (target && yellow && yellow->bean_milli)
        lesson.pace =
            pace_of(*target, {seconds_between(charge->at, yellow->at), from_milli(*yellow->bean_milli),
                              seconds_between(charge->at, crack->at), lesson.crack_c});
    return lesson;
}

Lessons learned(const Lessons& before, const Lesson& lesson) {
    Lessons after = before;
    ++after.roasts;
    after.weight = before.weight * kKept + 1;
    const double off = lesson.crack_c - before.crack_c;
    const bool known = before.weight > 1;
    const double step = known ? std::clamp(off, -kWild_c, kWild_c) : off;
    after.crack_c = before.weight > 0 ? before.crack_c + step / after.weight : lesson.crack_c;
    // The weighted sum of squares about the mean, carried on (West, Communications of the ACM 22, 1979, from
    // memory).
    const double old_squares =
        before.crack_spread_c * before.crack_spread_c * std::max(before.weight - 1, 0.0);
    const double squares =
        before.weight > 0 ? kKept * old_squares + kKept * before.weight / after.weight * step * step : 0;
    after.crack_spread_c = after.weight > 1 ? std::sqrt(squares / (after.weight - 1)) : 0;
    if (!lesson.pace) return after;
    after.pace_weight = before.pace_weight * kKept + 1;
    after.pace += (std::clamp(*lesson.pace, -kWildPace, kWildPace) - before.pace) / after.pace_weight;
    return after;
}

Lessons doubted(const Lessons& before) {
    Lessons after = before;
    after.weight = std::min(before.weight, kDoubted);
    after.pace_weight = std::min(before.pace_weight, kDoubted);
    return after;
}

}  // namespace drumwatch

#include "roast/target/made_curve.hpp"

#include <algorithm>
#include <cmath>

#include "roast/target/robust.hpp"

namespace drumwatch {
namespace {

constexpr double kRounding_s = 1e-6;
// Judgement. A detected charge is right to half a second, a tapped one to a few.
constexpr double kFarthestShift_s = 5;
constexpr double kShiftStep_s = 0.25;
constexpr double kLeastShift_s = 1.5;
constexpr double kClearlyBetter = 0.5;  // what is left of the distance
constexpr double kShiftFrom_s = 6;
constexpr double kShiftTo_s = 45;
constexpr double kCompareFrom_s = 60;
constexpr double kCompareStep_s = 5;
constexpr double kFarAway_c = 4;       // a roast nearer to the others than this is never left out
constexpr double kFarAwayTimes = 3.5;  // times the usual distance

std::vector<TargetPoint> since_charge(const SourceRoast& roast) {
    std::vector<TargetPoint> points;
    for (const TargetPoint& point : roast.bean)
        if (point.t_s >= 0 && point.t_s <= roast.drop_s()) points.push_back(point);
    return points;
}

/// The drum's temperature just before the charge.
std::optional<double> before_charge(const SourceRoast& roast) {
    std::vector<double> values;
    for (const TargetPoint& point : roast.bean)
        if (point.t_s >= -6 && point.t_s <= -0.5) values.push_back(point.bean_c);
    if (values.empty()) return std::nullopt;
    return median(std::move(values));
}

/// Mean distance of a roast, moved by `shift_s`, from `middle` (one value a second) in the steep fall.
std::optional<double> distance_in_fall(SmoothRoast roast, double shift_s, const std::vector<double>& middle) {
    roast.shift_s = shift_s;
    double sum = 0;
    int count = 0;
    for (double t_s = kShiftFrom_s; t_s <= kShiftTo_s && t_s < static_cast<double>(middle.size()); t_s += 1) {
        const auto value = roast.bean_at(t_s);
        if (!value) continue;
        sum += std::fabs(*value - middle[static_cast<std::size_t>(t_s)]);
        ++count;
    }
    if (count == 0) return std::nullopt;
    return sum / count;
}

double best_shift(const SmoothRoast& roast, const std::vector<double>& middle) {
    const auto unmoved = distance_in_fall(roast, 0, middle);
    if (!unmoved) return 0;
    double best = *unmoved;
    double shift_s = 0;
    for (double s = -kFarthestShift_s; s <= kFarthestShift_s; s += kShiftStep_s) {
        const auto distance = distance_in_fall(roast, s, middle);
        if (!distance || *distance >= best) continue;
        best = *distance;
        shift_s = s;
    }
    return std::fabs(shift_s) >= kLeastShift_s && best < kClearlyBetter * *unmoved ? shift_s : 0;
}

}  // namespace

SmoothRoast::SmoothRoast(const SourceRoast& roast) : fit_(since_charge(roast)), drop_s_(roast.drop_s()) {
    const auto held = before_charge(roast);
    const auto fitted = fit_.at(0, bean_reach_s(0));
    charge_c_ = held ? *held : fitted ? fitted->value : 0;
}

std::optional<double> SmoothRoast::bean_at(double t_s) const {
    const double own_s = t_s - shift_s;
    if (own_s <= 0) return charge_c_;
    if (own_s > drop_s_ + kRounding_s) return std::nullopt;
    const double seen_s = std::min(own_s, drop_s_ - 1);
    const auto fitted = fit_.at(seen_s, bean_reach_s(seen_s));
    if (!fitted) return std::nullopt;
    return fitted->value + fitted->per_second * (own_s - seen_s);
}

std::optional<double> SmoothRoast::per_second_at(double t_s) const {
    const double own_s = std::clamp(t_s - shift_s, 0.0, drop_s_);
    const auto fitted = fit_.at(own_s, bean_reach_s(own_s));
    if (!fitted) return std::nullopt;
    return fitted->per_second;
}

MadeCurve::MadeCurve(const std::vector<SourceRoast>& roasts, std::vector<MakingNote>& notes) {
    for (const SourceRoast& roast : roasts) roasts_.emplace_back(roast);
    set_end();
    if (roasts_.size() >= 3) {
        align(notes);
        leave_out(notes);
        set_end();
    } else if (roasts_.size() == 2) {
        notes.push_back({MakingNoteKind::curve_of_two});
    }
}

void MadeCurve::set_end() {
    std::vector<double> drops;
    for (const SmoothRoast& roast : roasts_)
        if (!roast.left_out) drops.push_back(roast.drop_s());
    end_s_ = std::round(median(std::move(drops)) * 10) / 10;
    sum_rises();
}

void MadeCurve::sum_rises() {
    risen_c_.assign(1, 0);
    double per_second = 0;
    for (double t_s = 0; t_s < end_s_ || risen_c_.size() < 2; t_s += 1) {
        std::vector<double> rises;
        for (const SmoothRoast& roast : roasts_) {
            if (roast.left_out || t_s > roast.drop_s()) continue;
            if (const auto rise = roast.per_second_at(t_s)) rises.push_back(*rise);
        }
        if (!rises.empty()) per_second = median(std::move(rises));
        risen_c_.push_back(risen_c_.back() + per_second);
    }
}

double MadeCurve::risen_c(double t_s) const {
    const double last_s = static_cast<double>(risen_c_.size() - 1);
    const double at_s = std::clamp(t_s, 0.0, last_s);
    const auto second = static_cast<std::size_t>(std::min(at_s, last_s - 1));
    return risen_c_[second] +
           (risen_c_[second + 1] - risen_c_[second]) * (at_s - static_cast<double>(second));
}

std::optional<double> MadeCurve::value_of(const SmoothRoast& roast, double t_s) const {
    const double drop_s = roast.drop_s();
    if (t_s <= drop_s) return roast.bean_at(t_s);
    const auto dropped_c = roast.bean_at(drop_s);
    if (!dropped_c) return std::nullopt;
    return *dropped_c + risen_c(t_s) - risen_c(drop_s);
}

std::vector<double> MadeCurve::values_at(double t_s) const {
    std::vector<double> values;
    for (const SmoothRoast& roast : roasts_) {
        if (roast.left_out) continue;
        if (const auto value = value_of(roast, t_s)) values.push_back(*value);
    }
    return values;
}

/// The middle of the roasts, one value a second from the charge on.
std::vector<double> MadeCurve::middle(double to_s) const {
    std::vector<double> values;
    for (double t_s = 0; t_s <= to_s; t_s += 1) values.push_back(median(values_at(t_s)));
    return values;
}

void MadeCurve::align(std::vector<MakingNote>& notes) {
    const std::vector<double> middle_c = middle(kShiftTo_s);
    for (std::size_t i = 0; i < roasts_.size(); ++i) {
        const double shift_s = best_shift(roasts_[i], middle_c);
        if (shift_s == 0) continue;
        roasts_[i].shift_s = shift_s;
        MakingNote note{MakingNoteKind::roast_shifted, static_cast<int>(i)};
        note.value = shift_s;
        notes.push_back(note);
    }
}

void MadeCurve::leave_out(std::vector<MakingNote>& notes) {
    std::vector<double> distances;
    for (const SmoothRoast& roast : roasts_) {
        std::vector<double> off;
        for (double t_s = kCompareFrom_s; t_s < end_s_; t_s += kCompareStep_s)
            if (const auto value = value_of(roast, t_s))
                off.push_back(std::fabs(*value - median(values_at(t_s))));
        distances.push_back(median(std::move(off)));
    }
    const double limit = std::max(kFarAway_c, kFarAwayTimes * median(distances));
    for (std::size_t i = 0; i < roasts_.size(); ++i) {
        if (distances[i] <= limit) continue;
        roasts_[i].left_out = true;
        MakingNote note{MakingNoteKind::roast_left_out, static_cast<int>(i)};
        note.value = distances[i];
        note.limit = limit;
        notes.push_back(note);
    }
}

std::vector<TargetPoint> MadeCurve::points() const {
    std::vector<TargetPoint> raw;
    for (double t_s = 0; t_s < end_s_ - 0.5; t_s += 1) {
        auto values = values_at(t_s);
        if (!values.empty()) raw.push_back({t_s, median(std::move(values))});
    }
    auto last = values_at(end_s_);
    if (!last.empty()) raw.push_back({end_s_, median(std::move(last))});
    std::vector<TargetPoint> points = raw;
    const LocalFit fit(raw);
    for (std::size_t i = 1; i < points.size(); ++i) {
        // The middle of several hops from one roast to the other; a single one is smooth already.
        const auto smooth =
            roasts_.size() > 1 ? fit.at(points[i].t_s, bean_reach_s(points[i].t_s)) : std::nullopt;
        if (smooth) points[i].bean_c = smooth->value;
    }
    for (TargetPoint& point : points) point.bean_c = std::round(point.bean_c * 100) / 100;
    return points;
}

}  // namespace drumwatch

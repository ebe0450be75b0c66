#include "roast/target/target_curve.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>

namespace drumwatch {

namespace {
constexpr double kSlopeHalf_s = 5;
constexpr double kEndMean_s = 5;
// How fast the corridor opens towards charge and after the drop: as wide again 30 s off. Judgement.
constexpr double kOpening_s = 30;

std::size_t lowest_point(const std::vector<TargetPoint>& points) {
    const auto lower = [](const TargetPoint& a, const TargetPoint& b) { return a.bean_c < b.bean_c; };
    return static_cast<std::size_t>(std::min_element(points.begin(), points.end(), lower) - points.begin());
}
}  // namespace

TargetCurve::TargetCurve(TargetPtr target) : target_(std::move(target)) {
    turning_ = lowest_point(target_->points);
    segments_per_s_ = static_cast<double>(target_->points.size() - 1) /
                      (target_->points.back().t_s - target_->points.front().t_s);
    turning_s_ = target_->points[turning_].t_s;
    for (std::size_t i = turning_; i < target_->points.size(); ++i) {
        const double bean_c = target_->points[i].bean_c;
        reached_c_.push_back(reached_c_.empty() ? bean_c : std::max(reached_c_.back(), bean_c));
    }
    const auto& drop = target_->milestones[static_cast<std::size_t>(Milestone::drop)];
    end_s_ = drop ? std::min(drop->at_s, target_->points.back().t_s) : target_->points.back().t_s;
    end_c_ = mean_before_end();
}

std::size_t TargetCurve::segment_at(double t_s) const {
    const auto& points = target_->points;
    // Points mostly lie at equal distances: there at once, or nearly so.
    const auto last = static_cast<std::int64_t>(points.size() - 2);
    const auto near = static_cast<std::int64_t>((t_s - points.front().t_s) * segments_per_s_);
    const auto guess = static_cast<std::size_t>(std::clamp<std::int64_t>(near, 0, last));
    if (points[guess].t_s <= t_s && t_s < points[guess + 1].t_s) return guess;
    const auto later = [](double t, const TargetPoint& p) { return t < p.t_s; };
    const auto next = std::upper_bound(points.begin() + 1, points.end() - 1, t_s, later);
    return static_cast<std::size_t>(next - points.begin()) - 1;
}

double TargetCurve::bean_at(double t_s) const {
    const auto& points = target_->points;
    const double t = std::clamp(t_s, points.front().t_s, points.back().t_s);
    const std::size_t segment = segment_at(t);
    const TargetPoint& a = points[segment];
    const TargetPoint& b = points[segment + 1];
    return a.bean_c + (b.bean_c - a.bean_c) * (t - a.t_s) / (b.t_s - a.t_s);
}

double TargetCurve::rise_per_min_at(double t_s) const {
    const double low = std::max(t_s - kSlopeHalf_s, target_->points.front().t_s);
    const double high = std::min(t_s + kSlopeHalf_s, target_->points.back().t_s);
    return high > low ? (bean_at(high) - bean_at(low)) / (high - low) * 60 : 0;
}

std::optional<double> TargetCurve::time_at(double bean_c) const {
    const auto& points = target_->points;
    if (bean_c < points[turning_].bean_c || bean_c > points.back().bean_c) return std::nullopt;
    const auto first = std::lower_bound(reached_c_.begin(), reached_c_.end(), bean_c);
    for (auto i = turning_ + static_cast<std::size_t>(first - reached_c_.begin()); i < points.size(); ++i) {
        if (i == turning_ || points[i].bean_c <= points[i - 1].bean_c) continue;
        const TargetPoint& a = points[i - 1];
        const TargetPoint& b = points[i];
        return a.t_s + (b.t_s - a.t_s) * std::max(0.0, bean_c - a.bean_c) / (b.bean_c - a.bean_c);
    }
    return std::nullopt;
}

std::optional<double> TargetCurve::time_at_or_beyond(double bean_c) const {
    const TargetPoint& last = target_->points.back();
    if (bean_c <= last.bean_c) return time_at(bean_c);
    const double from = std::max(last.t_s - 60, turning_s_);
    const double per_second = (last.bean_c - bean_at(from)) / std::max(last.t_s - from, 1.0);
    if (per_second <= 0) return std::nullopt;
    return last.t_s + (bean_c - last.bean_c) / per_second;
}

double TargetCurve::widened(double least_c, double rise_per_min, double t_s) const {
    const Tolerance& tolerance = target_->tolerance;
    const double steep = std::fabs(rise_per_min) / 60 * tolerance.rise_s;
    const double width = std::max(least_c, steep);
    const double apart_s = std::max({tolerance.from_s - t_s, t_s - end_s_, 0.0});
    return width * (1 + apart_s / kOpening_s);
}

double TargetCurve::corridor_at(double t_s) const {
    return widened(target_->tolerance.bean_c, rise_per_min_at(t_s), t_s);
}

TargetCurve::Here TargetCurve::here(double t_s) const {
    const double rise = rise_per_min_at(t_s);
    return {bean_at(t_s), rise, widened(target_->tolerance.bean_c, rise, t_s),
            widened(target_->tolerance.hold_c, rise, t_s)};
}

double TargetCurve::mean_before_end() const {
    double sum = 0;
    constexpr int kSteps = 20;
    for (int i = 0; i < kSteps; ++i) sum += bean_at(end_s_ - kEndMean_s * (i + 0.5) / kSteps);
    return sum / kSteps;
}

std::optional<double> TargetCurve::crack_c() const {
    const auto& crack = target_->milestones[static_cast<std::size_t>(Milestone::first_crack)];
    if (!crack) return std::nullopt;
    return crack->bean_c ? *crack->bean_c : bean_at(crack->at_s);
}

std::optional<double> TargetCurve::crack_s() const {
    const auto& crack = target_->milestones[static_cast<std::size_t>(Milestone::first_crack)];
    if (!crack) return std::nullopt;
    return crack->at_s;
}

}  // namespace drumwatch

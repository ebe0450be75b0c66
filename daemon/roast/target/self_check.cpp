#include "roast/target/self_check.hpp"

#include <algorithm>
#include <cmath>

#include "roast/target/target_curve.hpp"

namespace drumwatch {
namespace {

struct Bounds {
    double low, high;
    bool hold(double value) const { return value >= low && value <= high; }
};
constexpr Bounds kTurning_s{25, 130};
constexpr Bounds kTurning_c{50, 120};
constexpr Bounds kRisePerMin{-2, 45};
constexpr Bounds kCrack_s{300, 900};
constexpr Bounds kDrop_c{190, 245};
constexpr double kRiseFrom_s = 90;
constexpr double kRiseHalf_s = 15;  // a rise is one over half a minute
constexpr double kRiseStep_s = 5;
constexpr double kFewPoints = 8;
constexpr double kLateStart_s = 5;
constexpr double kOffTheCurve_c = 5;

class SelfCheck {
  public:
    explicit SelfCheck(const Target& target)
        : target_(target), curve_(std::make_shared<const Target>(target)) {}

    std::vector<TargetDoubt> run() {
        status();
        points();
        turning_point();
        rises();
        milestones();
        moves();
        return std::move(found_);
    }

  private:
    void add(TargetDoubtKind kind, double value = 0, Bounds bounds = {0, 0}, int index = -1) {
        TargetDoubt doubt;
        doubt.kind = kind;
        doubt.value = value;
        doubt.low = bounds.low;
        doubt.high = bounds.high;
        doubt.index = index;
        found_.push_back(doubt);
    }
    int index_at(double t_s) const {
        const auto before = [](const TargetPoint& point, double t) { return point.t_s < t; };
        const auto at = std::lower_bound(target_.points.begin(), target_.points.end(), t_s, before);
        return static_cast<int>(std::min(at, target_.points.end() - 1) - target_.points.begin());
    }
    void status() {
        if (target_.status == TargetStatus::trial) add(TargetDoubtKind::trial);
        if (target_.status == TargetStatus::retired) add(TargetDoubtKind::retired);
        if (!target_.seeded_from.empty() && target_.status == TargetStatus::trial)
            add(TargetDoubtKind::seeded);
    }
    void points() {
        const auto count = static_cast<double>(target_.points.size());
        if (count < kFewPoints) add(TargetDoubtKind::few_points, count);
        if (target_.points.front().t_s > kLateStart_s)
            add(TargetDoubtKind::starts_late, target_.points.front().t_s, {0, kLateStart_s}, 0);
        const double end_c = target_.points.back().bean_c;
        if (!kDrop_c.hold(end_c))
            add(TargetDoubtKind::drop_bean, end_c, kDrop_c, static_cast<int>(target_.points.size()) - 1);
    }
    void turning_point() {
        const double at_s = curve_.turning_s();
        const double bean_c = curve_.bean_at(at_s);
        if (!kTurning_s.hold(at_s))
            add(TargetDoubtKind::turning_point_time, at_s, kTurning_s, index_at(at_s));
        if (!kTurning_c.hold(bean_c))
            add(TargetDoubtKind::turning_point_bean, bean_c, kTurning_c, index_at(at_s));
    }
    double rise_at(double t_s) const {
        return (curve_.bean_at(t_s + kRiseHalf_s) - curve_.bean_at(t_s - kRiseHalf_s)) / kRiseHalf_s * 30;
    }
    /// The steepest place each way.
    void rises() {
        Bounds seen{0, 0};
        Bounds at_s{0, 0};
        const double from_s = std::max(kRiseFrom_s, curve_.turning_s()) + kRiseHalf_s;
        for (double t_s = from_s; t_s <= target_.points.back().t_s - kRiseHalf_s; t_s += kRiseStep_s) {
            const double rise = rise_at(t_s);
            if (rise < seen.low) seen.low = rise, at_s.low = t_s;
            if (rise > seen.high) seen.high = rise, at_s.high = t_s;
        }
        if (seen.low < kRisePerMin.low)
            add(TargetDoubtKind::falls, seen.low, kRisePerMin, index_at(at_s.low));
        if (seen.high > kRisePerMin.high)
            add(TargetDoubtKind::rises_fast, seen.high, kRisePerMin, index_at(at_s.high));
    }
    void milestones() {
        const auto crack_s = curve_.crack_s();
        if (!crack_s) add(TargetDoubtKind::no_first_crack);
        if (crack_s && !kCrack_s.hold(*crack_s)) add(TargetDoubtKind::first_crack_time, *crack_s, kCrack_s);
        for (std::size_t i = 0; i < kMilestones; ++i) {
            const auto& milestone = target_.milestones[i];
            if (!milestone || !milestone->bean_c) continue;
            const double curve_c = curve_.bean_at(milestone->at_s);
            if (std::fabs(*milestone->bean_c - curve_c) <= kOffTheCurve_c) continue;
            add(TargetDoubtKind::off_the_curve, *milestone->bean_c, {curve_c, curve_c});
            found_.back().milestone = static_cast<Milestone>(i);
        }
    }
    /// Times that lie outside the curve and temperatures that it never has are refused when it is read.
    void moves() {
        const auto crack_s = curve_.crack_s();
        for (std::size_t i = 0; i < target_.moves.size(); ++i) {
            const Trigger& when = target_.moves[i].when;
            if (when.kind != TriggerKind::after_first_crack_s) continue;
            const double end_s = target_.points.back().t_s;
            if (!crack_s)
                add(TargetDoubtKind::move_needs_crack, 0, {0, 0}, static_cast<int>(i));
            else if (*crack_s + when.value > end_s)
                add(TargetDoubtKind::move_after_end, *crack_s + when.value, {0, end_s}, static_cast<int>(i));
        }
    }

    const Target& target_;
    TargetCurve curve_;
    std::vector<TargetDoubt> found_;
};

}  // namespace

std::vector<TargetDoubt> doubts_about(const Target& target) { return SelfCheck(target).run(); }

}  // namespace drumwatch

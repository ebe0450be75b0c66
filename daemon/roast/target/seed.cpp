#include "roast/target/seed.hpp"

#include <algorithm>
#include <cmath>

#include "roast/target/local_fit.hpp"
#include "roast/target/target_curve.hpp"

namespace drumwatch {
namespace {

struct Anchor {
    double base_s = 0;
    double seeded_s = 0;
};

constexpr double kSmooth_s = 10;  // the stretching changes at an anchor; a curve has no corner there

double whole(double value) { return std::round(value); }

/// Straight between anchors, both ways increasing.
class Stretch {
  public:
    Stretch(const Target& base, const TargetCurve& curve, const SourceRoast& sample)
        : anchors_{{0, 0}, {curve.turning_s(), curve.turning_s()}} {
        for (const Milestone milestone : {Milestone::yellow, Milestone::first_crack}) {
            const auto& mine = base.milestones[static_cast<std::size_t>(milestone)];
            const auto& its = sample.milestones_s[static_cast<std::size_t>(milestone)];
            if (mine && its) add(mine->at_s, *its);
        }
        add(base.points.back().t_s, sample.drop_s());
    }

    double of(double base_s) const {
        std::size_t next = 1;
        while (next + 1 < anchors_.size() && anchors_[next].base_s < base_s) ++next;
        const Anchor& a = anchors_[next - 1];
        const Anchor& b = anchors_[next];
        if (b.base_s <= a.base_s) return b.seeded_s;
        return a.seeded_s + (base_s - a.base_s) * (b.seeded_s - a.seeded_s) / (b.base_s - a.base_s);
    }
    double end_s() const { return anchors_.back().seeded_s; }

  private:
    void add(double base_s, double seeded_s) {
        if (base_s > anchors_.back().base_s && seeded_s > anchors_.back().seeded_s)
            anchors_.push_back({base_s, seeded_s});
    }
    std::vector<Anchor> anchors_;
};

std::vector<TargetPoint> stretched(const std::vector<TargetPoint>& points, const Stretch& stretch) {
    std::vector<TargetPoint> moved;
    for (const TargetPoint& point : points) {
        const double t_s = std::round(stretch.of(point.t_s) * 100) / 100;
        if (moved.empty() || t_s > moved.back().t_s) moved.push_back({t_s, point.bean_c});
    }
    return moved;
}

/// Without corners where the stretching changes; the fall to the turning point is left as it is.
void smooth_rise(std::vector<TargetPoint>& points, double turning_s) {
    const LocalFit fit(points);
    for (TargetPoint& point : points) {
        if (point.t_s < turning_s + kSmooth_s) continue;
        if (const auto value = fit.at(point.t_s, kSmooth_s))
            point.bean_c = std::round(value->value * 100) / 100;
    }
}

}  // namespace

Target seeded_target(const Target& base, const SourceRoast& sample) {
    const TargetCurve curve(std::make_shared<const Target>(base));
    const Stretch stretch(base, curve, sample);
    Target target = base;
    target.status = TargetStatus::trial;
    target.approved_by.clear();
    target.seeded_from = sample.name;
    target.points = stretched(base.points, stretch);
    target.exhaust_points = stretched(base.exhaust_points, stretch);
    if (target.exhaust_points.size() < 2) target.exhaust_points.clear();
    smooth_rise(target.points, curve.turning_s());
    for (auto& milestone : target.milestones)
        if (milestone) milestone = TargetMilestone{whole(stretch.of(milestone->at_s)), milestone->bean_c, {}};
    for (PlannedMove& move : target.moves) {
        if (move.when.kind == TriggerKind::at_s) move.when.value = whole(stretch.of(move.when.value));
        if (move.when.kind == TriggerKind::after_first_crack_s && curve.crack_s())
            move.when.value =
                whole(stretch.of(*curve.crack_s() + move.when.value) - stretch.of(*curve.crack_s()));
    }
    target.drop = Trigger{TriggerKind::at_s, target.points.back().t_s};
    if (curve.crack_s())
        target.drop = Trigger{TriggerKind::after_first_crack_s,
                              whole(target.points.back().t_s - stretch.of(*curve.crack_s()))};
    auto& drop = target.milestones[static_cast<std::size_t>(Milestone::drop)];
    drop = TargetMilestone{target.points.back().t_s, target.points.back().bean_c, {}};
    return target;
}

}  // namespace drumwatch

#include "roast/target/make.hpp"

#include <algorithm>
#include <cmath>

#include "roast/target/made_moves.hpp"
#include "roast/target/robust.hpp"

namespace drumwatch {
namespace {

constexpr double kExhaustStep_s = 5;
constexpr double kExhaustReach_s = 15;
constexpr std::size_t kRoastsForCorridor = 4;
constexpr double kCorridorStep_s = 10;
constexpr double kCorridorTimes = 2;   // standard deviations: 19 of 20 roasts stay inside
constexpr double kWidestCorridor = 2;  // times the site's: what differs more are not roasts of one curve

double tenths(double value) { return std::round(value * 10) / 10; }

double curve_at(const std::vector<TargetPoint>& points, double t_s) {
    const auto later = [](double t, const TargetPoint& point) { return t < point.t_s; };
    const auto next = std::upper_bound(points.begin() + 1, points.end() - 1, t_s, later);
    const TargetPoint& a = *(next - 1);
    return a.bean_c + (next->bean_c - a.bean_c) * (t_s - a.t_s) / (next->t_s - a.t_s);
}

/// The lowest point, between the seconds: the vertex of the parabola through it and its neighbours.
TargetMilestone turning_point(const std::vector<TargetPoint>& points) {
    const auto lower = [](const TargetPoint& a, const TargetPoint& b) { return a.bean_c < b.bean_c; };
    const auto lowest = std::min_element(points.begin(), points.end(), lower);
    if (lowest == points.begin() || lowest + 1 == points.end()) return {lowest->t_s, lowest->bean_c, {}};
    const double left = (lowest - 1)->bean_c - lowest->bean_c, right = (lowest + 1)->bean_c - lowest->bean_c;
    const double off = left + right > 0 ? (left - right) / (2 * (left + right)) : 0;
    return {tenths(lowest->t_s + off), tenths(lowest->bean_c), {}};
}

class Making {
  public:
    Making(const std::vector<SourceRoast>& roasts, const Tolerance& site)
        : roasts_(roasts), curve_(roasts, made_.notes) {
        made_.target.tolerance = site;
    }

    MadeTarget run() {
        made_.target.points = curve_.points();
        add_exhaust();
        add_turning_point();
        for (const Milestone milestone : {Milestone::yellow, Milestone::first_crack, Milestone::second_crack})
            add_mark(milestone);
        add_drop();
        made_.target.moves = made_moves(roasts_, curve_, made_.notes);
        suggest_corridor();
        return std::move(made_);
    }

  private:
    std::optional<TargetMilestone>& at(Milestone milestone) {
        return made_.target.milestones[static_cast<std::size_t>(milestone)];
    }
    /// Times of a milestone in the roasts that were not left out, by the target's clock.
    std::vector<double> times_of(Milestone milestone) const {
        std::vector<double> times;
        for (std::size_t i = 0; i < roasts_.size(); ++i) {
            const auto& at_s = roasts_[i].milestones_s[static_cast<std::size_t>(milestone)];
            const SmoothRoast& smooth = curve_.roasts()[i];
            if (at_s && !smooth.left_out) times.push_back(*at_s + smooth.shift_s);
        }
        return times;
    }
    static std::optional<double> spread_of(const std::vector<double>& times) {
        if (times.size() < 3) return std::nullopt;
        return tenths(robust_spread(times));
    }
    void add_turning_point() {
        at(Milestone::turning_point) = turning_point(made_.target.points);
        at(Milestone::turning_point)->spread_s = spread_of(times_of(Milestone::turning_point));
    }
    void note_mark(MakingNoteKind kind, Milestone milestone, std::size_t count) {
        MakingNote note{kind};
        note.milestone = milestone;
        note.count = static_cast<int>(count);
        note.of = static_cast<int>(curve_.values_at(0).size());
        made_.notes.push_back(note);
    }
    void add_mark(Milestone milestone) {
        const std::vector<double> times = times_of(milestone);
        const std::size_t roasts = curve_.values_at(0).size();
        if (times.size() < roasts && milestone == Milestone::first_crack)
            note_mark(MakingNoteKind::mark_missing, milestone, times.size());
        if (times.empty()) return;
        const double at_s = tenths(median(times));
        for (const auto& before : made_.target.milestones)
            if ((before && before->at_s > at_s) || at_s > curve_.end_s())
                return note_mark(MakingNoteKind::mark_left_out, milestone, times.size());
        at(milestone) = TargetMilestone{at_s, tenths(curve_at(made_.target.points, at_s)), spread_of(times)};
    }
    void add_drop() {
        const std::vector<double> drops = times_of(Milestone::drop);
        const double last_c = made_.target.points.back().bean_c;
        at(Milestone::drop) =
            TargetMilestone{made_.target.points.back().t_s, tenths(last_c), spread_of(drops)};
        const ChosenTrigger chosen = choose_trigger(drop_happenings(), TriggerKind::bean_c);
        made_.target.drop = Trigger{TriggerKind::bean_c, tenths(last_c)};
        if (!chosen.changed) return;
        made_.target.drop = chosen.trigger;
        if (chosen.trigger.kind == TriggerKind::at_s) made_.target.drop->value = curve_.end_s();
        MakingNote note{MakingNoteKind::drop_by_trigger};
        note.value = chosen.spread_s;
        note.limit = chosen.usual_s;
        made_.notes.push_back(note);
    }
    Happenings drop_happenings() const {
        Happenings seen;
        std::vector<double> rises;
        for (std::size_t i = 0; i < roasts_.size(); ++i) {
            const SmoothRoast& smooth = curve_.roasts()[i];
            const auto bean_c = smooth.bean_at(smooth.drop_s());
            if (smooth.left_out || !bean_c) continue;
            seen.at_s.push_back(smooth.drop_s());
            seen.bean_c.push_back(*bean_c);
            rises.push_back(smooth.per_second_at(smooth.drop_s()).value_or(0));
            const auto& crack = roasts_[i].milestones_s[static_cast<std::size_t>(Milestone::first_crack)];
            if (crack) seen.after_crack_s.push_back(roasts_[i].drop_s() - *crack);
        }
        seen.per_second = median(std::move(rises));
        return seen;
    }
    void add_exhaust() {
        std::vector<LocalFit> fits;
        for (std::size_t i = 0; i < roasts_.size(); ++i)
            if (!curve_.roasts()[i].left_out && !roasts_[i].exhaust.empty())
                fits.emplace_back(roasts_[i].exhaust);
        if (fits.empty()) return;
        for (double t_s = 0; t_s <= curve_.end_s(); t_s += kExhaustStep_s) {
            std::vector<double> values;
            for (const LocalFit& fit : fits)
                if (const auto value = fit.at(t_s, kExhaustReach_s)) values.push_back(value->value);
            if (values.empty()) continue;
            made_.target.exhaust_points.push_back({t_s, tenths(median(std::move(values)))});
        }
        if (made_.target.exhaust_points.size() < 2) made_.target.exhaust_points.clear();
    }
    void suggest_corridor() {
        Tolerance& tolerance = made_.target.tolerance;
        if (curve_.values_at(0).size() < kRoastsForCorridor) return;
        std::vector<double> spreads;
        for (double t_s = tolerance.from_s; t_s < curve_.end_s(); t_s += kCorridorStep_s)
            spreads.push_back(robust_spread(curve_.values_at(t_s)));
        const double kept_c = std::ceil(kCorridorTimes * median(std::move(spreads)) * 10) / 10;
        if (kept_c <= tolerance.bean_c) return;
        const double taken_c = std::min(kept_c, kWidestCorridor * tolerance.bean_c);
        MakingNote note{taken_c < kept_c ? MakingNoteKind::corridor_capped
                                         : MakingNoteKind::corridor_widened};
        note.value = kept_c;
        note.limit = taken_c < kept_c ? taken_c : tolerance.bean_c;
        made_.notes.push_back(note);
        tolerance.hold_c = tenths(tolerance.hold_c * taken_c / tolerance.bean_c);
        tolerance.bean_c = taken_c;
    }

    const std::vector<SourceRoast>& roasts_;
    MadeTarget made_;
    MadeCurve curve_;
};

}  // namespace

MadeTarget make_target(const std::vector<SourceRoast>& roasts, const Tolerance& site) {
    return Making(roasts, site).run();
}

}  // namespace drumwatch

#include "support/made_roasts/kept_figures.hpp"

#include <algorithm>
#include <cmath>

namespace drumwatch {
namespace {

constexpr double kHalfMinute_s = 30;

/// What was shown at a whole second.
struct Shown {
    double t_s = 0;  ///< since the true charge
    FollowView follow;
    std::optional<FanPoint> fan_30;
    std::optional<FanPoint> fan_60;
    std::optional<double> leaving_in_s;
    double burner = 0;
    double airflow = 0;
};

std::optional<FanPoint> at(const FixedList<FanPoint, 8>& fan, double in_s) {
    for (const FanPoint& point : fan)
        if (point.in_s == in_s) return point;
    return std::nullopt;
}

std::vector<Shown> shown_of(const Snapshot& now, double charge_s) {
    Shown shown;
    shown.t_s = static_cast<double>(now.tick.ms) / 1000 - charge_s;
    shown.follow = *now.follow;
    shown.fan_30 = at(now.fan, 30);
    shown.fan_60 = at(now.fan, 60);
    for (const PromptView& prompt : now.prompts)
        if (prompt.kind == PromptKind::leaving_corridor) shown.leaving_in_s = prompt.in_s;
    shown.burner = from_milli(now.channel[2].value_milli);
    shown.airflow = from_milli(now.channel[3].value_milli);
    return {shown};
}

/// One made batch, rerun, beside its truth.
class Looking {
  public:
    Looking(const Site& site, std::uint64_t seed, const MadeBatch& made, const Gap& gap, KeptFigures& figures)
        : site_(site), seed_(seed), truth_(made.truth), gap_(gap), figures_(figures) {
        RerunOptions options;
        options.target = std::make_shared<const Target>(site.target);
        options.each_tick = [this](const Snapshot& now) {
            if (now.tick.ms % 1000 != 0 || !now.follow) return;
            for (const Shown& shown : shown_of(now, truth_.charge_s)) shown_.push_back(shown);
        };
        result_ = rerun(made.file, options);
    }

    void look(std::vector<FutureRow>* rows) {
        ++figures_.batches;
        if (!result_.charged || !result_.dropped) {
            ++figures_.not_seen;
            return;
        }
        const TrueVerdict truth = true_verdict(site_, truth_, gap_);
        if (gap_.for_s > 0) {
            look_at_gap();
            return;
        }
        look_at_moves();
        look_at_verdict(truth);
        look_at_alarms(truth);
        look_at_fan();
        look_at_prompts();
        if (rows) take_rows(*rows);
    }

  private:
    void look_at_gap() {
        ++figures_.gaps;
        const Disposition said = result_.verdict.disposition;
        figures_.gaps_right += said == Disposition::unjudged || said == Disposition::hold;
    }

    const MoveView* view_of(const TrueMove& move) const {
        for (const MoveView& view : result_.moves) {
            if (move.planned >= 0 && view.planned == move.planned) return &view;
            const bool extra = move.planned < 0 && view.planned < 0 && view.control == move.control;
            if (extra && view.made_at_s && std::fabs(*view.made_at_s - *move.made_s) < 2) return &view;
        }
        return nullptr;
    }
    static bool agree(const TrueMove& move, const MoveView& view) {
        const bool same = view.judgement == move.judged;
        if (!same && !move.close) return false;
        if (!move.made_s || !view.made_at_s || !move.due_s || !view.error_s) return same;
        return std::fabs(*move.made_s - *move.due_s - *view.error_s) <= 2;
    }
    void look_at_moves() {
        for (const TrueMove& move : true_moves(site_, truth_, site_.target.tolerance.move_s)) {
            if (move.judged == MoveJudgement::waiting) continue;
            const bool with_drop = move.made_s && *move.made_s > truth_.drop_s - 6;
            if (move.planned < 0 && with_drop) continue;
            if (move.unclear) {
                ++figures_.unclear_moves;
                continue;
            }
            const MoveView* view = view_of(move);
            const bool right = view && agree(move, *view);
            const auto judged = static_cast<std::size_t>(view ? view->judgement : MoveJudgement::waiting);
            ++figures_.move_table[static_cast<std::size_t>(move.judged)][judged];
            (move.planned < 0 ? figures_.extras : figures_.moves) += 1;
            (move.planned < 0 ? figures_.extras_right : figures_.moves_right) += right;
        }
    }

    void look_at_verdict(const TrueVerdict& truth) {
        const double target_end_c = truth.end_c - (*result_.deviation.end_c + end_of_target_c());
        figures_.end_off_c.push_back(std::fabs(target_end_c));
        const Disposition said = result_.verdict.disposition;
        const bool calls = said == Disposition::taste || said == Disposition::hold;
        figures_.without_reason += calls && result_.verdict.reasons.empty();
        if (truth.close) {
            ++figures_.close;
            return;
        }
        ++figures_.verdict_table[static_cast<std::size_t>(truth.disposition)][static_cast<std::size_t>(said)];
    }
    double end_of_target_c() const {
        double sum = 0;
        for (int i = 0; i < 50; ++i)
            sum += true_target_c(site_.target, site_.target.points.back().t_s - 0.1 * i);
        return sum / 50;
    }

    void look_at_alarms(const TrueVerdict& truth) {
        const auto in_drum = [&](const AlarmSpan& alarm) {
            return alarm.raised_at_s >= truth_.charge_s &&
                   alarm.raised_at_s <= truth_.charge_s + truth_.drop_s;
        };
        const bool drift = std::any_of(result_.alarms.begin(), result_.alarms.end(),
                                       [](const AlarmSpan& alarm) { return alarm.rule == AlarmRule::drift; });
        if (truth.disposition == Disposition::clear) {
            ++figures_.clear;
            figures_.clear_drift += drift;
            figures_.clear_alarms +=
                static_cast<int>(std::count_if(result_.alarms.begin(), result_.alarms.end(), in_drum));
        }
        if (truth.far_s > site_.target.tolerance.outside_s + 1.5) {
            ++figures_.far;
            figures_.far_drift += drift;
        }
    }

    double true_off_c(double t_s) const {
        return true_bean_c(truth_, t_s) - true_target_c(site_.target, t_s);
    }
    double last_s() const { return std::min(truth_.drop_s, site_.target.points.back().t_s); }

    void count(FanFigures& fan, const std::optional<FanPoint>& point, double t_s, double in_s) const {
        if (!point || t_s + in_s > last_s()) return;
        const double off_c = true_off_c(t_s + in_s);
        ++fan.points;
        fan.held += off_c >= point->low_c && off_c <= point->high_c;
        fan.above += off_c > point->high_c;
        fan.width_c += point->high_c - point->low_c;
    }
    void look_at_fan() {
        for (const Shown& shown : shown_) {
            if (!shown.follow.judged_now || std::fmod(std::floor(shown.t_s), 10) != 0) continue;
            count(figures_.fan_30, shown.fan_30, shown.t_s, 30);
            count(figures_.fan_60, shown.fan_60, shown.t_s, 60);
        }
    }

    bool truly_out(double t_s) const {
        return std::fabs(true_off_c(t_s)) > true_corridor_c(site_.target, site_.target.tolerance.bean_c, t_s);
    }
    /// When the corridor was left for 5 s or more after half a minute within.
    std::vector<double> leavings() const {
        std::vector<double> all;
        double within_s = 0;
        for (double t_s = site_.target.tolerance.from_s; t_s + 5 <= last_s(); t_s += 0.5) {
            if (!truly_out(t_s)) {
                within_s += 0.5;
                continue;
            }
            bool stays = true;
            for (double later_s = t_s; later_s < t_s + 5; later_s += 0.5) stays = stays && truly_out(later_s);
            if (!stays) continue;
            if (within_s >= kHalfMinute_s) all.push_back(t_s);
            within_s = 0;
        }
        return all;
    }
    void look_at_prompts() {
        const std::vector<double> left = leavings();
        for (const double left_s : left) {
            ++figures_.left;
            for (const Shown& shown : shown_) {
                if (!shown.leaving_in_s || shown.t_s < left_s - 60 || shown.t_s > left_s - 5) continue;
                ++figures_.left_said;
                figures_.said_ahead_s += left_s - shown.t_s;
                break;
            }
        }
        double newest_s = -100;
        for (const Shown& shown : shown_) {
            if (!shown.leaving_in_s) continue;
            if (shown.t_s - newest_s > 15) look_at_prompt(shown.t_s);
            newest_s = shown.t_s;
        }
    }
    void look_at_prompt(double t_s) {
        if (t_s + 75 > last_s()) return;
        ++figures_.prompts;
        for (double later_s = t_s; later_s < t_s + 75; later_s += 0.5)
            if (truly_out(later_s)) return;
        ++figures_.prompts_vain;
    }

    double planned_level(Control control, double t_s) const {
        double level =
            std::round(100 * (control == Control::burner ? site_.first_burner : site_.first_airflow));
        double newest_s = -1;
        for (const auto& move : result_.moves) {
            if (move.planned < 0 || move.control != control || !move.planned_at_s) continue;
            if (*move.planned_at_s > t_s || *move.planned_at_s < newest_s) continue;
            newest_s = *move.planned_at_s;
            level = move.planned_level;
        }
        return level;
    }
    void take_rows(std::vector<FutureRow>& rows) const {
        double slow = 0;
        for (const Shown& shown : shown_) {
            if (shown.t_s < 100) continue;
            slow +=
                (std::clamp(shown.follow.rise_deviation_per_min.value_or(slow), slow - 6, slow + 6) - slow) /
                8;
            if (!shown.follow.judged_now || std::fmod(std::floor(shown.t_s), 10) != 0) continue;
            if (!shown.follow.deviation_c || !shown.follow.rise_deviation_per_min) continue;
            if (shown.t_s + 90 > last_s()) continue;
            FutureRow row;
            row.site = seed_;
            row.t_s = shown.t_s;
            row.deviation_c = *shown.follow.deviation_c;
            row.rise_deviation_per_min = slow;
            row.corridor_c = shown.follow.corridor_c;
            row.target_rise_per_min =
                60 *
                (true_target_c(site_.target, shown.t_s + 5) - true_target_c(site_.target, shown.t_s - 5)) /
                10;
            row.ahead_s = shown.follow.ahead_s.value_or(0);
            row.burner_more = shown.burner - planned_level(Control::burner, shown.t_s);
            row.airflow_more = shown.airflow - planned_level(Control::airflow, shown.t_s);
            for (int i = 0; i < 6; ++i) row.later_c[i] = true_off_c(shown.t_s + 15 * (i + 1));
            rows.push_back(row);
        }
    }

    const Site& site_;
    std::uint64_t seed_;
    const BatchTruth& truth_;
    const Gap& gap_;
    KeptFigures& figures_;
    RerunResult result_;
    std::vector<Shown> shown_;
};

}  // namespace

double KeptFigures::right_share() const {
    int right = 0;
    int all = 0;
    for (std::size_t truth = 0; truth < 4; ++truth) {
        for (std::size_t said = 0; said < 4; ++said) {
            all += verdict_table[truth][said];
            right += truth == said ? verdict_table[truth][said] : 0;
        }
    }
    return all ? static_cast<double>(right) / all : 0;
}

BatchPlan rough_plan_of(const Site& site, std::uint64_t seed, int number) {
    BatchPlan plan = plan_of(site, seed, number);
    if (number % 3 == 0) return plan;
    TestRandom random(seed * 7919 + static_cast<std::uint64_t>(number));
    const bool steady = number % 3 == 1;  // a hand that would keep the curve, on a day that is the target's
    const double size = steady ? 0.25 : 1;
    plan.moisture_shift *= size;
    plan.gas = 1 + size * 0.02 * random.normal();
    plan.inlet_shift_c = size * 3 * random.normal();
    plan.charge_shift_c = size * 3 * random.normal();
    plan.metal_shift_c *= size;
    plan.crack_shift_c *= steady ? 0.3 : 1;
    if (steady) plan.green_c = 22 + 0.3 * random.normal();
    plan.late_moves = steady ? 0.02 : 0.15;
    plan.wrong_levels = steady ? 0.005 : 0.06;
    plan.missed_moves = steady ? 0.005 : 0.05;
    plan.drop_shift_s = (steady ? 3 : 12) * random.normal();
    return plan;
}

void measure_site(std::uint64_t seed, int batches, KeptFigures& figures, std::vector<FutureRow>* rows) {
    const Site site = made_site(seed);
    for (int number = 0; number < batches; ++number) {
        MadeBatch made = made_batch(site, rough_plan_of(site, seed, number));
        TestRandom random(seed * 104729 + static_cast<std::uint64_t>(number));
        Gap gap;
        if (random.uniform() < 0.08) {
            gap.for_s = random.uniform(20, 120);
            gap.from_s = random.uniform(155, std::max(156.0, made.truth.drop_s - gap.for_s - 5));
            cut_out(made, gap);
        }
        Looking(site, seed, made, gap, figures).look(rows);
    }
}

}  // namespace drumwatch

#include "support/made_roasts/kept_truth.hpp"

#include <algorithm>
#include <cmath>

namespace drumwatch {
namespace {

constexpr double kLevelWithin = 2;
constexpr double kVisible = 1;  // a smaller change of a level is none

/// Seconds since charge at which the probe first comes to this temperature on its way up.
std::optional<double> first_reached_s(const BatchTruth& truth, double bean_c) {
    for (double t_s = truth.turning_point_s; t_s < truth.drop_s; t_s += 0.1)
        if (true_bean_c(truth, t_s) >= bean_c) return t_s;
    return std::nullopt;
}

std::optional<double> due_s(const PlannedMove& move, const BatchTruth& truth) {
    if (move.when.kind == TriggerKind::bean_c) return first_reached_s(truth, move.when.value);
    if (move.when.kind == TriggerKind::at_s) return move.when.value;
    if (truth.tapped_s <= 0) return std::nullopt;
    return truth.tapped_s + move.when.value;
}

MoveJudgement by_time(double error_s, double on_time_s) {
    if (error_s > on_time_s) return MoveJudgement::late;
    return error_s < -on_time_s ? MoveJudgement::early : MoveJudgement::on_time;
}

/// Whether the control stood elsewhere just before.
bool changed_something(const Site& site, const BatchTruth& truth, const BatchTruth::Move& move) {
    double before = 100 * (move.control == Control::burner ? site.first_burner : site.first_airflow);
    for (const auto& other : truth.moves)
        if (other.control == move.control && other.at_s < move.at_s) before = other.level;
    return std::fabs(std::round(before) - std::round(move.level)) >= kVisible;
}

void judge(TrueMove& move, const PlannedMove& plan, const BatchTruth& truth, double on_time_s) {
    if (!move.due_s || *move.due_s > truth.drop_s) return;
    if (!move.made_s) {
        const double overdue_s = truth.drop_s - *move.due_s;
        move.judged = overdue_s > on_time_s ? MoveJudgement::missed : MoveJudgement::waiting;
        move.close = std::fabs(overdue_s - on_time_s) < 2;
        return;
    }
    const double error_s = *move.made_s - *move.due_s;
    move.judged = by_time(error_s, on_time_s);
    move.close = std::fabs(std::fabs(error_s) - on_time_s) < 2;
    if (std::fabs(move.level - plan.to) <= kLevelWithin) return;
    move.judged = MoveJudgement::wrong_level;
    move.close = false;
}

/// Whether a move could be meant for this plan by its level and time.
bool could_be_meant(const BatchTruth::Move& made, const PlannedMove& plan, double due_s) {
    const double off_s = std::fabs(made.at_s - due_s);
    return off_s < 25 || (off_s < 150 && std::fabs(made.level - plan.to) <= kLevelWithin);
}

bool is_unclear(const Site& site, const BatchTruth& truth, const TrueMove& move) {
    const PlannedMove* plan =
        move.planned >= 0 ? &site.moves[static_cast<std::size_t>(move.planned)] : nullptr;
    const bool own_right = plan && move.made_s && std::fabs(move.level - plan->to) <= kLevelWithin;
    for (const auto& other : truth.moves) {
        const bool itself = other.planned == move.planned && (plan || other.at_s == move.made_s);
        if (other.control != move.control || itself) continue;
        if (move.made_s && std::fabs(other.at_s - *move.made_s) < 3.5) return true;
        if (!plan || !move.due_s || !could_be_meant(other, *plan, *move.due_s)) continue;
        const bool other_right = std::fabs(other.level - plan->to) <= kLevelWithin;
        const bool nearer =
            !move.made_s || std::fabs(other.at_s - *move.due_s) <= std::fabs(*move.made_s - *move.due_s);
        if (other.planned < 0 && other_right >= own_right && (nearer || !own_right)) return true;
    }
    return false;
}

/// One reading of the rules; `harder`: -1 every limit wider, +1 every limit narrower.
class Judging {
  public:
    Judging(const Site& site, const BatchTruth& truth, const Gap& gap, double harder)
        : site_(site), truth_(truth), gap_(gap), degrees_(-0.15 * harder), seconds_(-1.5 * harder) {}

    Disposition disposition() {
        const Tolerance& rules = site_.target.tolerance;
        far_s_ = longest_s(rules.hold_c);
        const double end_off_c = std::fabs(end_c() - target_end_c());
        if (far_s_ > rules.outside_s + seconds_) return Disposition::hold;
        if (end_seen() && end_off_c > rules.end_hold_c + degrees_) return Disposition::hold;
        if (unseen_s() > rules.gap_s + seconds_ || !end_seen()) return Disposition::unjudged;
        if (longest_s(rules.bean_c) > rules.outside_s + seconds_) return Disposition::taste;
        if (end_off_c > rules.end_taste_c + degrees_) return Disposition::taste;
        return a_move_calls() ? Disposition::taste : Disposition::clear;
    }
    double far_s() const { return far_s_; }
    double end_c() const {
        double sum = 0;
        for (int i = 0; i < 50; ++i) sum += true_bean_c(truth_, truth_.drop_s - 0.1 * i);
        return sum / 50;
    }

  private:
    double last_s() const { return std::min(truth_.drop_s, site_.target.points.back().t_s); }
    bool hidden(double t_s) const { return t_s >= gap_.from_s && t_s < gap_.from_s + gap_.for_s; }
    bool end_seen() const { return !hidden(truth_.drop_s - 0.5) || !hidden(truth_.drop_s - 4.5); }
    double unseen_s() const {
        const double from_s = std::max(gap_.from_s, site_.target.tolerance.from_s);
        return std::min(gap_.from_s + gap_.for_s, last_s()) - from_s;
    }
    double target_end_c() const {
        double sum = 0;
        for (int i = 0; i < 50; ++i)
            sum += true_target_c(site_.target, site_.target.points.back().t_s - 0.1 * i);
        return sum / 50;
    }
    /// Longest time on end further off than the larger of `least_c` and the target's rise in 5 s.
    double longest_s(double least_c) const {
        double longest = 0;
        double since_s = -1;
        for (double t_s = site_.target.tolerance.from_s; t_s <= last_s(); t_s += 0.25) {
            const double off_c = std::fabs(true_bean_c(truth_, t_s) - true_target_c(site_.target, t_s));
            const bool out = off_c > true_corridor_c(site_.target, least_c, t_s) + degrees_;
            if (!out || hidden(t_s)) since_s = -1;
            if (out && !hidden(t_s) && since_s < 0) since_s = t_s;
            if (since_s >= 0) longest = std::max(longest, t_s - since_s);
        }
        return longest;
    }
    bool a_move_calls() const {
        const auto moves = true_moves(site_, truth_, site_.target.tolerance.move_s + seconds_ / 1.5 * 2);
        return std::any_of(moves.begin(), moves.end(), [&](const TrueMove& move) {
            if (move.unclear && move.planned >= 0 && seconds_ != 0) return seconds_ < 0;
            return move.judged != MoveJudgement::waiting && move.judged != MoveJudgement::on_time &&
                   move.judged != MoveJudgement::extra;
        });
    }

    const Site& site_;
    const BatchTruth& truth_;
    const Gap& gap_;
    double degrees_;
    double seconds_;
    double far_s_ = 0;
};

}  // namespace

void cut_out(MadeBatch& made, const Gap& gap) {
    for (RoastRow& row : made.file.rows) {
        const double t_s = static_cast<double>(row.elapsed_ms) / 1000 - made.truth.charge_s;
        if (t_s >= gap.from_s && t_s < gap.from_s + gap.for_s) row.values[0].reset();
    }
}

std::vector<TrueMove> true_moves(const Site& site, const BatchTruth& truth, double on_time_s) {
    std::vector<TrueMove> moves;
    for (std::size_t i = 0; i < site.moves.size(); ++i) {
        TrueMove move;
        move.control = site.moves[i].control;
        move.planned = static_cast<int>(i);
        move.due_s = due_s(site.moves[i], truth);
        for (const auto& made : truth.moves) {
            if (made.planned != move.planned) continue;
            move.made_s = made.at_s;
            move.level = made.level;
            // Nobody sees a hand on a knob that stands there already.
            move.unclear = !changed_something(site, truth, made);
        }
        judge(move, site.moves[i], truth, on_time_s);
        move.unclear = move.unclear || is_unclear(site, truth, move);
        moves.push_back(move);
    }
    for (const auto& made : truth.moves) {
        if (made.planned >= 0 || !changed_something(site, truth, made)) continue;
        moves.push_back({made.control, -1, made.level, made.at_s, std::nullopt, MoveJudgement::extra});
        moves.back().unclear = is_unclear(site, truth, moves.back());
        for (std::size_t i = 0; i < site.moves.size(); ++i) {
            const bool rival = moves[i].unclear && site.moves[i].control == made.control && moves[i].due_s &&
                               could_be_meant(made, site.moves[i], *moves[i].due_s);
            moves.back().unclear = moves.back().unclear || rival;
        }
    }
    return moves;
}

TrueVerdict true_verdict(const Site& site, const BatchTruth& truth, const Gap& gap) {
    Judging judging(site, truth, gap, 0);
    TrueVerdict verdict;
    verdict.disposition = judging.disposition();
    verdict.far_s = judging.far_s();
    verdict.end_c = judging.end_c();
    verdict.close = Judging(site, truth, gap, 1).disposition() != verdict.disposition ||
                    Judging(site, truth, gap, -1).disposition() != verdict.disposition;
    return verdict;
}

double true_target_c(const Target& target, double t_s) {
    const auto& points = target.points;
    const auto earlier = [](const TargetPoint& point, double t) { return point.t_s < t; };
    const auto next = std::lower_bound(points.begin() + 1, points.end() - 1, t_s, earlier);
    const TargetPoint& a = *(next - 1);
    const TargetPoint& b = *next;
    const double share = std::clamp((t_s - a.t_s) / (b.t_s - a.t_s), 0.0, 1.0);
    return a.bean_c * (1 - share) + b.bean_c * share;
}

double true_corridor_c(const Target& target, double least_c, double t_s) {
    const double last_s = target.points.back().t_s;
    const double low_s = std::max(0.0, t_s - 2.5);
    const double high_s = std::min(last_s, t_s + 2.5);
    if (high_s <= low_s) return least_c;
    const double rise_5s =
        5 * (true_target_c(target, high_s) - true_target_c(target, low_s)) / (high_s - low_s);
    return std::max(least_c, std::fabs(rise_5s));
}

double true_bean_c(const BatchTruth& truth, double t_s) {
    const double at = std::clamp(t_s, 0.0, static_cast<double>(truth.probe_c.size()) - 1.001);
    const auto whole = static_cast<std::size_t>(at);
    const double part = at - static_cast<double>(whole);
    return truth.probe_c[whole] * (1 - part) + truth.probe_c[whole + 1] * part;
}

}  // namespace drumwatch

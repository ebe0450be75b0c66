#include <algorithm>
#include <array>
#include <cmath>

#include "roast/verdict/end_temperature.hpp"
#include "roast/verdict/gravity.hpp"
#include "roast/verdict/verdict.hpp"

namespace drumwatch {

namespace {

class Reasons {
  public:
    explicit Reasons(Verdict& verdict) : verdict_(verdict) {}
    void add(VerdictRule rule, Disposition calls_for, double value = 0, double limit = 0, double extra = 0) {
        Reason reason;
        reason.rule = rule;
        reason.calls_for = calls_for;
        reason.value = value;
        reason.limit = limit;
        reason.extra = extra;
        verdict_.reasons.push_back(reason);
    }
    void add(const MoveView& move, VerdictRule rule, Disposition calls_for, double value, double limit) {
        add(rule, calls_for, value, limit);
        verdict_.reasons.back().index = move.planned;
        verdict_.reasons.back().control = move.control;
        verdict_.reasons.back().level = move.planned >= 0 ? move.planned_level : move.made_level;
        verdict_.reasons.back().unit = move.unit;
    }

    void add(Control control, int moves_unknown) {
        add(VerdictRule::moves_unknown, Disposition::taste, moves_unknown);
        verdict_.reasons.back().control = control;
    }

  private:
    Verdict& verdict_;
};

void curve_reasons(Reasons& reasons, const DeviationSummary& kept, const Tolerance& limits,
                   bool interrupted) {
    if (kept.far_outside_s > limits.outside_s) {
        reasons.add(VerdictRule::far_outside, Disposition::hold, kept.far_outside_s, limits.outside_s,
                    kept.max_c);
    } else if (kept.outside_s > limits.outside_s) {
        reasons.add(VerdictRule::outside, Disposition::taste, kept.outside_s, limits.outside_s, kept.max_c);
    }
    if (kept.gap_s > limits.gap_s) {
        reasons.add(VerdictRule::readings_missing, Disposition::unjudged, kept.gap_s, limits.gap_s);
    }
    if (!kept.end_c && interrupted) return;  // its end lies after the interruption
    if (!kept.end_c) {
        reasons.add(VerdictRule::end_unread, Disposition::unjudged, kEnd_s);
    } else if (std::fabs(*kept.end_c) > limits.end_hold_c) {
        reasons.add(VerdictRule::end_temperature, Disposition::hold, *kept.end_c, limits.end_hold_c);
    } else if (std::fabs(*kept.end_c) > limits.end_taste_c) {
        reasons.add(VerdictRule::end_temperature, Disposition::taste, *kept.end_c, limits.end_taste_c);
    }
}

void move_reason(Reasons& reasons, const MoveView& move, const Tolerance& limits) {
    switch (move.judgement) {
        case MoveJudgement::late:
        case MoveJudgement::early:
            reasons.add(move, VerdictRule::move_off, Disposition::taste, move.error_s.value_or(0),
                        limits.move_s);
            break;
        case MoveJudgement::missed:
            reasons.add(move, VerdictRule::move_missed, Disposition::taste, 0, limits.move_s);
            break;
        case MoveJudgement::wrong_level:
            reasons.add(move, VerdictRule::move_wrong_level, Disposition::taste, move.made_level,
                        move.planned_level);
            break;
        case MoveJudgement::extra:
            reasons.add(move, VerdictRule::extra_move, Disposition::clear, move.made_level, 0);
            break;
        case MoveJudgement::waiting:
        case MoveJudgement::on_time:
            break;
    }
}

/// Planned and missed moves of a control of which nothing is known are one reason together.
void move_reasons(Reasons& reasons, const JudgedBatch& batch, const Tolerance& limits) {
    std::array<int, kControls> unknown{};
    for (const MoveView& move : *batch.moves) {
        const auto control = static_cast<std::size_t>(move.control);
        if (batch.control_known[control] || move.judgement != MoveJudgement::missed) {
            move_reason(reasons, move, limits);
        } else {
            ++unknown[control];
        }
    }
    for (std::size_t i = 0; i < kControls; ++i) {
        if (unknown[i] > 0) reasons.add(static_cast<Control>(i), unknown[i]);
    }
}

// Judgement, no source: a drum that stood for half an hour has another temperature inside than the probe
// says.
constexpr double kLongBreak_s = 30 * 60;
constexpr double kNewDay_s = 5 * 3600;

/// Beside a reason to taste or to hold, never without one.
void circumstances(Reasons& reasons, const Verdict& verdict, std::optional<double> idle_s) {
    const bool asked = std::any_of(verdict.reasons.begin(), verdict.reasons.end(), [](const Reason& reason) {
        return reason.calls_for == Disposition::taste || reason.calls_for == Disposition::hold;
    });
    if (!asked || !idle_s || *idle_s < kLongBreak_s) return;
    const VerdictRule rule = *idle_s < kNewDay_s ? VerdictRule::long_break : VerdictRule::first_of_day;
    reasons.add(rule, Disposition::clear, *idle_s / 60);
}

}  // namespace

Verdict judge(const JudgedBatch& batch, const DeviationSummary& kept) {
    Verdict verdict;
    verdict.roast = batch.roast;
    Reasons reasons(verdict);
    if (batch.interrupted) reasons.add(VerdictRule::interrupted, Disposition::unjudged);
    if (!batch.target) {
        reasons.add(VerdictRule::no_target, Disposition::unjudged);
        verdict.disposition = Disposition::unjudged;
        return verdict;
    }
    const Target& target = batch.target->target();
    curve_reasons(reasons, kept, target.tolerance, batch.interrupted);
    if (batch.moves) move_reasons(reasons, batch, target.tolerance);
    if (batch.probe_check_overdue) reasons.add(VerdictRule::probe_check_overdue, Disposition::taste);
    if (target.status != TargetStatus::approved) {
        const auto calls_for = batch.judge_trial ? Disposition::clear : Disposition::unjudged;
        reasons.add(VerdictRule::trial_target, calls_for, static_cast<double>(target.status));
    }
    circumstances(reasons, verdict, batch.idle_s);
    settle(verdict);
    return verdict;
}

}  // namespace drumwatch

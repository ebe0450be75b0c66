#include "roast/forecast/burner_lead.hpp"

#include <algorithm>
#include <cmath>

namespace drumwatch {

namespace {
// All measured on made roasts (tools/bench/curve.cpp), tuning part.
constexpr double kLag_s = 30;
constexpr double kCompared_s = 15;  // how far back the present excess is taken
constexpr std::int64_t kComparedEach_ms = 1'000;
constexpr double kGain = 2.3;      // of the rate of rise for one of the level, both as logarithms
constexpr double kLeastLevel = 3;  // %, kPa or steps: below it a burner is as good as off
constexpr double kStepKept = 0.71653131057378925;  // exp(-10 / 30)
// Hands bring a roast back: the difference fades in 60 s; exp(-10 / 60).
constexpr double kTrustedKept = 0.84648172489061413;
// A part stays: of the rate of rise for one of the level, less so much of the present one, which the present
// rate of rise tells already.
constexpr double kStays = 0.83;
constexpr double kTold = 0.67;
constexpr double kStaysTrimmed = 0.4;
constexpr double kToldTrimmed = 1.0;
// An excess that has only just come is mostly a move a little early or late, which the plan soon makes up
// for.
constexpr double kLasting_s = 20;
constexpr double kJustCome = 1.0;

double log_level(double level) { return std::log(std::max(level, kLeastLevel)); }

std::optional<double> target_time(const TargetCurve& target, const Trigger& when) {
    if (when.kind == TriggerKind::at_s) return when.value;
    if (when.kind == TriggerKind::bean_c) return target.time_at(when.value);
    const auto crack_s = target.crack_s();
    return crack_s ? std::optional(*crack_s + when.value) : std::nullopt;
}
}  // namespace

void BurnerLead::start(const TargetCurve* target) {
    planned_.clear();
    first_.reset();
    as_read_.reset();
    compared_.reset();
    excess_ = 0;
    lasting_ = 0;
    if (!target) return;
    for (const PlannedMove& move : target->target().moves) {
        const auto at_s = target_time(*target, move.when);
        if (move.control == Control::burner && at_s && !planned_.full())
            planned_.push_back({*at_s, log_level(move.to)});
    }
    std::sort(planned_.begin(), planned_.end(),
              [](const Planned& a, const Planned& b) { return a.at_s < b.at_s; });
}

bool BurnerLead::compares(Tick now) const { return !compared_ || now - *compared_ >= kComparedEach_ms; }

void BurnerLead::add(Tick now, std::optional<double> level, std::optional<double> target_s) {
    if (!level) return;
    if (as_read_ != level) {
        as_read_ = level;
        level_ = log_level(*level);
    }
    if (!first_) {
        first_ = level_;
        felt_ = level_;
        newest_ = now;
    }
    const double dt_s = std::min(seconds_between(newest_, now), kLag_s);
    newest_ = now;
    felt_ += (level_ - felt_) * dt_s / (kLag_s + dt_s);
    if (!target_s || !compares(now)) return;
    compared_at_s_ = *target_s;
    planned_felt_ = planned_felt(*target_s);
    const double excess = felt_ - planned_felt_;
    if (compared_) {
        const double since_s = std::min(seconds_between(*compared_, now), kLag_s);
        excess_ += (excess - excess_) * since_s / (kCompared_s + since_s);
        lasting_ += (excess_ - lasting_) * since_s / (kLasting_s + since_s);
    } else {
        excess_ = excess;
        lasting_ = excess;
    }
    compared_ = now;
}

double BurnerLead::planned_level(double target_s) const {
    double level = *first_;
    for (const Planned& move : planned_)
        if (move.at_s <= target_s) level = move.level;
    return level;
}

/// Answer of a lag of the first order to the steps so far.
double BurnerLead::planned_felt(double target_s) const {
    double felt = *first_;
    double level = *first_;
    for (const Planned& move : planned_) {
        if (move.at_s > target_s) break;
        felt += (move.level - level) * (1 - std::exp((move.at_s - target_s) / kLag_s));
        level = move.level;
    }
    return felt;
}

std::optional<BurnerLead::Path> BurnerLead::path(double target_s, const PendingMoves& pending,
                                                 bool trimmed) const {
    if (!first_ || !compared_) return std::nullopt;
    Path path;
    path.lead_ = this;
    path.pending_ = &pending;
    path.now_ = excess_;
    path.stays_ = trimmed ? kStaysTrimmed : kStays;
    path.told_ = path.stays_ * (trimmed ? kToldTrimmed : kTold) * excess_ + kJustCome * (excess_ - lasting_);
    path.target_s_ = target_s;
    path.level_ = level_;
    path.felt_ = felt_;
    path.planned_level_ = planned_level(target_s);
    path.planned_felt_ = target_s == compared_at_s_ ? planned_felt_ : planned_felt(target_s);
    while (path.next_planned_ < planned_.size() && planned_[path.next_planned_].at_s <= target_s)
        ++path.next_planned_;
    return path;
}

double BurnerLead::Path::next() {
    const double middle_s = in_s_ + kStep_s / 2;
    const auto& pending = *pending_;
    for (; next_pending_ < pending.size() && pending[next_pending_].in_s <= middle_s; ++next_pending_)
        level_ = log_level(pending[next_pending_].level);
    const auto& planned = lead_->planned_;
    for (; next_planned_ < planned.size() && planned[next_planned_].at_s <= target_s_ + middle_s;
         ++next_planned_)
        planned_level_ = planned[next_planned_].level;
    const double before = felt_ - planned_felt_;
    felt_ = level_ + (felt_ - level_) * kStepKept;
    planned_felt_ = planned_level_ + (planned_felt_ - planned_level_) * kStepKept;
    const double excess = (before + felt_ - planned_felt_) / 2;
    const double difference = kGain * (excess - now_) * trusted_ + stays_ * excess - told_;
    trusted_ *= kTrustedKept;
    in_s_ += kStep_s;
    return difference;
}

}  // namespace drumwatch

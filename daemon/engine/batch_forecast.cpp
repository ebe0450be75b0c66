// The batch's forecast of first crack: what it is told, tick by tick.
#include <algorithm>

#include "engine/batch.hpp"

namespace drumwatch {

namespace {
// A planned move that is overdue is still expected for so long, and in a moment.
constexpr double kStillExpected_s = 30;
constexpr double kInAMoment_s = 5;
constexpr std::int64_t kFreshEvery_ms = 1'000;
}  // namespace

/// As read, or as a person has said.
std::optional<double> Batch::burner_level(const ControlLevels& levels) const {
    if (const auto read = levels[static_cast<std::size_t>(Control::burner)]) return read;
    const MadeMove* last = nullptr;
    for (const MadeMove& made : made_)
        if (made.control == Control::burner && (!last || made.at >= last->at)) last = &made;
    return last ? std::optional(last->level) : std::nullopt;
}

/// What is still planned for it, and whether somebody has moved it off the plan.
void Batch::expect_burner(ForecastInput& input) const {
    auto& pending = input.pending;
    for (const MoveView& move : moves_) {
        if (move.control != Control::burner) continue;
        input.trimmed = input.trimmed || move.planned < 0;
        const bool open = move.planned >= 0 && !move.made_at_s && move.judgement == MoveJudgement::waiting &&
                          move.planned_at_s;
        if (!open || *move.planned_at_s < input.elapsed_s - kStillExpected_s) continue;
        if (target_->target().moves[static_cast<std::size_t>(move.planned)].when.kind ==
            TriggerKind::after_first_crack_s)
            continue;
        pending.push_back({std::max(*move.planned_at_s - input.elapsed_s, kInAMoment_s), move.planned_level});
    }
    std::sort(pending.begin(), pending.end(), [](const auto& a, const auto& b) { return a.in_s < b.in_s; });
}

/// Why there can be none, whatever the temperatures say.
NoForecast Batch::no_forecast() const {
    const auto& crack = at(Milestone::first_crack);
    if (crack && crack->source == MarkSource::mark) return NoForecast::cracked;
    if (time_lost_) return NoForecast::time_unknown;
    if (!at(Milestone::turning_point)) return NoForecast::before_turning_point;
    return smooth_c_ ? NoForecast::none : NoForecast::no_reading;
}

CrackForecast Batch::forecast_now(Tick now) const {
    ForecastInput input;
    input.target = target_.get();
    input.crack = crack_;
    input.elapsed_s = since_charge_s(now);
    input.smooth_c = smooth_c_;
    input.rise_per_min = rise_per_min_;
    input.trend = &trend_;
    input.burner = &burner_;
    if (target_) expect_burner(input);
    return forecast_crack(input);
}

void Batch::update_forecast(Tick now, std::optional<double> burner) {
    const NoForecast why = no_forecast();
    const bool compares = why == NoForecast::none && target_ && burner_.compares(now);
    burner_.add(now, burner, compares ? target_->time_at_or_beyond(*smooth_c_) : std::nullopt);
    if (why != NoForecast::none) {
        fresh_ = {std::nullopt, why};
        fresh_at_.reset();
    } else if ((!fresh_at_ || now - *fresh_at_ >= kFreshEvery_ms) && !gives_way(Job::forecast)) {
        fresh_ = forecast_now(now);
        fresh_at_ = now;
    }
    forecast_ = steady_.add(now, fresh_, since_charge_s(now));
}

}  // namespace drumwatch

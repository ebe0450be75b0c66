#include "simulator/target/review.hpp"

#include <algorithm>
#include <cmath>

namespace drumwatch::simulator {
namespace {

constexpr double kFrom_s = 150.0;
constexpr double kEndMean_s = 5.0;
constexpr double kSameLevel_pct = 2.5;
constexpr double kAboutInTime_s = 25.0;
constexpr double kFurthest_s = 90.0;
constexpr double kNoReviewBefore_s = 20.0;

/// When the trigger came in this very roast.
std::optional<double> came_at_s(const Trigger& when, const HandRoast& roast) {
    if (when.kind == Trigger::Kind::at_s) {
        return when.value <= roast.drop_at_s ? std::optional(when.value) : std::nullopt;
    }
    if (when.kind == Trigger::Kind::after_first_crack_s) {
        if (!roast.first_crack_at_s || *roast.first_crack_at_s + when.value > roast.drop_at_s)
            return std::nullopt;
        return *roast.first_crack_at_s + when.value;
    }
    bool below = false;
    for (const auto& [at_s, bean_c] : roast.curve) {
        if (at_s > kNoReviewBefore_s && bean_c < when.value - 2.0) below = true;
        if (below && bean_c >= when.value) return at_s;
    }
    return std::nullopt;
}

double end_mean_c(const HandRoast& roast) {
    double sum_c = 0.0;
    int count = 0;
    for (const auto& [at_s, bean_c] : roast.curve) {
        if (at_s < roast.drop_at_s - kEndMean_s || !std::isfinite(bean_c)) continue;
        sum_c += bean_c;
        ++count;
    }
    return count > 0 ? sum_c / count : std::nan("");
}

double target_end_mean_c(const Target& target) {
    double sum_c = 0.0;
    for (int i = 0; i <= 5; ++i) sum_c += target.bean_c_at(target.end_s() - i);
    return sum_c / 6.0;
}

void find_worst(const HandRoast& roast, const Target& target, Review& out) {
    for (const auto& [at_s, bean_c] : roast.curve) {
        if (at_s < kFrom_s || at_s > target.end_s() || !std::isfinite(bean_c)) continue;
        const double off_c = bean_c - target.bean_c_at(at_s);
        if (std::fabs(off_c) <= std::fabs(out.worst_c)) continue;
        out.worst_c = off_c;
        out.worst_at_s = at_s;
    }
}

bool same_level(const PlannedMove& planned, const MadeMove& made) {
    return std::fabs(made.to_pct - planned.to_pct) <= kSameLevel_pct;
}

/// Gives each open planned move the first free made one that is near enough.
void match_within(std::vector<KeptMove>& moves, std::vector<MadeMove>& free, const Target& target,
                  double within_s, bool any_level) {
    for (KeptMove& kept : moves) {
        if (kept.made) continue;
        const double near_s = kept.planned_at_s.value_or(target.planned_at_s(kept.planned.when));
        const auto fits = std::find_if(free.begin(), free.end(), [&](const MadeMove& made) {
            return made.control == kept.planned.control && (any_level || same_level(kept.planned, made)) &&
                   std::fabs(made.at_s - near_s) <= within_s;
        });
        if (fits == free.end()) continue;
        kept.made = *fits;
        free.erase(fits);
    }
}

bool stands_at(const HandRoast& roast, const PlannedMove& planned, double at_s) {
    const MadeMove* last = nullptr;
    for (const MadeMove& made : roast.moves) {
        if (made.control == planned.control && made.at_s <= at_s) last = &made;
    }
    return last != nullptr && same_level(planned, *last);
}

void match_moves(const HandRoast& roast, const Target& target, Review& out) {
    out.extra = roast.moves;
    for (const PlannedMove& planned : target.moves)
        out.moves.push_back({planned, came_at_s(planned.when, roast), std::nullopt});
    match_within(out.moves, out.extra, target, kAboutInTime_s, false);
    match_within(out.moves, out.extra, target, kAboutInTime_s, true);
    match_within(out.moves, out.extra, target, kFurthest_s, false);
    for (KeptMove& kept : out.moves) {
        if (kept.made || !kept.planned_at_s) continue;
        kept.stood_already = stands_at(roast, kept.planned, *kept.planned_at_s);
    }
}

}  // namespace

bool KeptMove::wrong_level() const { return made && !same_level(planned, *made); }

Review review_roast(const HandRoast& roast, const Target& target) {
    Review out;
    out.charge_error_c = roast.charge_c - target.points.front().second;
    find_worst(roast, target, out);
    match_moves(roast, target, out);
    out.end_c = end_mean_c(roast);
    out.target_end_c = target_end_mean_c(target);
    out.drop_at_s = roast.drop_at_s;
    out.target_drop_at_s = target.end_s();
    out.weight_loss_pct = roast.weight_loss_pct;
    return out;
}

}  // namespace drumwatch::simulator

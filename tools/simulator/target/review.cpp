#include "simulator/target/review.hpp"

#include <algorithm>
#include <cmath>

namespace drumwatch::simulator {
namespace {

constexpr double kFrom_s = 150.0;
constexpr double kEndMean_s = 5.0;
constexpr double kSameLevel_pct = 2.5;
constexpr double kFurthest_s = 90.0;
constexpr double kNotBefore_s = 20.0;

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
        if (at_s > kNotBefore_s && bean_c < when.value - 2.0) below = true;
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

void match_moves(const HandRoast& roast, const Target& target, Review& out) {
    std::vector<MadeMove> free = roast.moves;
    for (const PlannedMove& planned : target.moves) {
        KeptMove kept{planned, came_at_s(planned.when, roast), std::nullopt};
        const double near_s = kept.planned_at_s.value_or(target.planned_at_s(planned.when));
        const auto fits = std::find_if(free.begin(), free.end(), [&](const MadeMove& made) {
            return made.control == planned.control &&
                   std::fabs(made.to_pct - planned.to_pct) <= kSameLevel_pct &&
                   std::fabs(made.at_s - near_s) <= kFurthest_s;
        });
        if (fits != free.end()) {
            kept.made = *fits;
            free.erase(fits);
        }
        out.moves.push_back(kept);
    }
    out.extra = free;
}

}  // namespace

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

#include "roast/verdict/late_facts.hpp"

#include <cmath>

#include "roast/verdict/gravity.hpp"

namespace drumwatch {

namespace {

bool is_late(VerdictRule rule) { return rule == VerdictRule::weight_loss || rule == VerdictRule::colour; }

/// Nothing where the value lies within the band.
std::optional<Reason> out_of(const Band& band, VerdictRule rule, double value) {
    const double off = value < band.low ? band.low - value : value - band.high;
    if (off <= 0) return std::nullopt;
    Reason reason;
    reason.rule = rule;
    reason.calls_for = off > band.high - band.low ? Disposition::hold : Disposition::taste;
    reason.value = value;
    reason.limit = value < band.low ? band.low : band.high;
    reason.extra = value < band.low ? band.high : band.low;
    return reason;
}

}  // namespace

std::optional<double> weight_loss_pct(const LateFacts& facts, const Target& target) {
    const auto charge_kg = facts.charge_kg ? facts.charge_kg : target.charge_kg;
    if (!charge_kg || !facts.roasted_kg || *charge_kg <= 0 || *facts.roasted_kg > *charge_kg)
        return std::nullopt;
    return 100 * (*charge_kg - *facts.roasted_kg) / *charge_kg;
}

Verdict with_late_facts(const Verdict& given, const LateFacts& facts, const Target& target) {
    Verdict verdict = given;
    verdict.reasons.clear();
    const auto loss_pct = weight_loss_pct(facts, target);
    // First, so that a full list can't leave them out.
    if (loss_pct && target.weight_loss_pct)
        if (const auto reason = out_of(*target.weight_loss_pct, VerdictRule::weight_loss, *loss_pct))
            verdict.reasons.push_back(*reason);
    if (facts.colour && target.colour)
        if (const auto reason = out_of(*target.colour, VerdictRule::colour, *facts.colour))
            verdict.reasons.push_back(*reason);
    for (const Reason& reason : given.reasons)
        if (!is_late(reason.rule)) verdict.reasons.push_back(reason);
    settle(verdict);
    return verdict;
}

}  // namespace drumwatch

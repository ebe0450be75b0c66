#include "roast/verdict/late_facts.hpp"

#include "roast/verdict/gravity.hpp"

namespace drumwatch {

namespace {

constexpr double kRounding = 1e-9;  // of a percentage from two weights: 12 to 10.38 kg are 13.5 %

bool is_late(VerdictRule rule) { return rule == VerdictRule::weight_loss || rule == VerdictRule::colour; }

std::optional<double> charge_of(const LateFacts& facts, const Target& target) {
    return facts.charge_kg ? facts.charge_kg : target.charge_kg;
}

LateFinding placed(VerdictRule rule, double value, const std::optional<Band>& band) {
    if (!band) return {rule, LateStand::no_band, value, {}};
    const bool out = value < band->low - kRounding || value > band->high + kRounding;
    return {rule, out ? LateStand::out : LateStand::within, value, *band};
}

LateFinding of_weight(const LateFacts& facts, const Target& target) {
    const auto charge_kg = charge_of(facts, target);
    if (!charge_kg) return {VerdictRule::weight_loss, LateStand::charge_unknown, *facts.roasted_kg, {}};
    const auto loss_pct = weight_loss_pct(facts, target);
    if (!loss_pct)
        return {VerdictRule::weight_loss, LateStand::heavier, *facts.roasted_kg, {*charge_kg, *charge_kg}};
    return placed(VerdictRule::weight_loss, *loss_pct, target.weight_loss_pct);
}

Reason reason_of(const LateFinding& out) {
    const bool below = out.value < out.band.low;
    const double off = below ? out.band.low - out.value : out.value - out.band.high;
    Reason reason;
    reason.rule = out.rule;
    reason.calls_for = off > out.band.high - out.band.low ? Disposition::hold : Disposition::taste;
    reason.value = out.value;
    reason.limit = below ? out.band.low : out.band.high;
    reason.extra = below ? out.band.high : out.band.low;
    return reason;
}

}  // namespace

std::optional<double> weight_loss_pct(const LateFacts& facts, const Target& target) {
    const auto charge_kg = charge_of(facts, target);
    if (!charge_kg || !facts.roasted_kg || *charge_kg <= 0 || *facts.roasted_kg > *charge_kg)
        return std::nullopt;
    return 100 * (*charge_kg - *facts.roasted_kg) / *charge_kg;
}

std::vector<LateFinding> late_findings(const LateFacts& facts, const Target& target) {
    std::vector<LateFinding> findings;
    if (facts.roasted_kg) findings.push_back(of_weight(facts, target));
    if (facts.colour) findings.push_back(placed(VerdictRule::colour, *facts.colour, target.colour));
    return findings;
}

Verdict with_late_facts(const Verdict& given, const LateFacts& facts, const Target& target) {
    Verdict verdict = given;
    verdict.reasons.clear();
    // First, so that a full list can't leave them out.
    for (const LateFinding& finding : late_findings(facts, target)) {
        if (finding.stand == LateStand::out) verdict.reasons.push_back(reason_of(finding));
    }
    for (const Reason& reason : given.reasons)
        if (!is_late(reason.rule)) verdict.reasons.push_back(reason);
    settle(verdict);
    return verdict;
}

}  // namespace drumwatch

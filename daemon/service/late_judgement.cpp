#include "service/late_judgement.hpp"

#include <fmt/format.h>

#include <cmath>

#include "core/words.hpp"
#include "files/target_json.hpp"
#include "roast/verdict/late_facts.hpp"

namespace drumwatch {

namespace {

constexpr double kMilli = 1000;
constexpr double kWeightWithin_pct = 2;  // judgement, no source

TargetPtr target_of(RecordReader& reader, const RoastRecord& row) {
    if (row.target_name.empty()) return nullptr;
    const auto stored = reader.target(row.target_name, row.target_version);
    if (!stored || !stored.value()) return nullptr;
    auto target = parse_target(stored.value()->json);
    return target ? std::make_shared<const Target>(std::move(target.value())) : nullptr;
}

void judge(JudgedRoast& roast) {
    roast.verdict = roast.row.verdict;
    if (roast.verdict && roast.target)
        roast.verdict = with_late_facts(*roast.row.verdict, roast.facts, *roast.target);
}

/// Why nothing can be said of this roast any more; empty: it can.
std::string closed(const RoastRecord& row) {
    switch (row.state) {
        case RoastState::roasting:
            return fmt::format("roast {} is still in the drum: weigh it after the drop", row.id);
        case RoastState::withdrawn:
            return fmt::format("roast {} was taken back: it was no charge", row.id);
        case RoastState::aborted:
            return fmt::format("roast {} was given up: there is nothing to judge", row.id);
        case RoastState::finished:
        case RoastState::interrupted:
            break;
    }
    return {};
}

/// Whether something else was charged than the target plans. What it did to the curve the curve says itself.
std::string other_weight(const LateFacts& facts, const Target& target) {
    if (!facts.charge_kg || !target.charge_kg) return {};
    const double off_pct = 100 * (*facts.charge_kg / *target.charge_kg - 1);
    if (std::fabs(off_pct) < kWeightWithin_pct) return {};
    return fmt::format(" {:.4g} kg were charged, {:.0f} % {} than the {:.4g} kg planned.", *facts.charge_kg,
                       std::fabs(off_pct), off_pct > 0 ? "more" : "less", *target.charge_kg);
}

/// What the facts make of the roast, in sentences.
std::string outcome(const JudgedRoast& before, const JudgedRoast& after) {
    std::string text = fmt::format("Roast {}: recorded.", after.row.id);
    if (!after.target) return text + " It followed no target, so nothing is judged.";
    text += other_weight(after.facts, *after.target);
    const auto findings = late_findings(after.facts, *after.target);
    for (const LateFinding& finding : findings) text += " " + words(finding);
    if (!after.verdict) return text + " It has no verdict.";
    const auto now = after.verdict->disposition;
    const bool same = before.verdict->disposition == now;
    return text + (same ? fmt::format(" The verdict stays {}.", name(now))
                        : fmt::format(" The verdict is {} now; it was {}.", name(now),
                                      name(before.verdict->disposition)));
}

/// More came out than was charged: a slip of the hand or of the scale.
std::optional<LateFinding> heavier(const JudgedRoast& roast) {
    auto charge_kg = roast.facts.charge_kg;
    if (!charge_kg && roast.target) charge_kg = roast.target->charge_kg;
    const auto& roasted_kg = roast.facts.roasted_kg;
    if (!charge_kg || !roasted_kg || *roasted_kg <= *charge_kg) return std::nullopt;
    return LateFinding{VerdictRule::weight_loss, LateStand::heavier, *roasted_kg, {*charge_kg, *charge_kg}};
}

}  // namespace

void take(LateFacts& facts, LateKind kind, std::optional<double> value) {
    switch (kind) {
        case LateKind::charge_kg:
            facts.charge_kg = value;
            return;
        case LateKind::roasted_kg:
            facts.roasted_kg = value;
            return;
        case LateKind::colour:
            facts.colour = value;
            return;
    }
}

Result<LateFacts> facts_of(RecordReader& reader, std::uint64_t roast) {
    const auto rows = reader.late_facts(roast);
    if (!rows) return Error{rows.error()};
    LateFacts facts;
    for (const LateFactRow& row : rows.value()) {
        take(facts, row.kind,
             row.value_milli ? std::optional(static_cast<double>(*row.value_milli) / kMilli) : std::nullopt);
    }
    return facts;
}

Result<JudgedRoast> judged_again(RecordReader& reader, RoastRecord row) {
    const auto facts = facts_of(reader, row.id);
    if (!facts) return Error{facts.error()};
    JudgedRoast roast;
    roast.row = std::move(row);
    roast.facts = facts.value();
    roast.target = target_of(reader, roast.row);
    judge(roast);
    return roast;
}

Considered consider(RecordReader& reader, const FactsGiven& given, WallTime now) {
    auto found = reader.roast(given.roast);
    if (!found) return {500, found.error(), {}};
    if (!found.value()) return {404, fmt::format("there is no roast {} in the record", given.roast), {}};
    if (std::string why = closed(*found.value()); !why.empty()) return {409, std::move(why), {}};
    const auto before = judged_again(reader, std::move(*found.value()));
    if (!before) return {500, before.error(), {}};
    JudgedRoast after = before.value();
    Considered considered;
    for (const FactGiven& fact : given.facts) {
        const auto kind = late_kind_from_name(fact.kind);
        if (!kind) return {422, fmt::format("\"{}\" is no fact of a roast", fact.kind), {}};
        const auto milli =
            fact.value ? std::optional<std::int64_t>(std::llround(*fact.value * kMilli)) : std::nullopt;
        take(after.facts, *kind, fact.value);
        considered.rows.push_back({given.roast, *kind, milli, given.who, given.client_id, now});
    }
    if (const auto slip = heavier(after)) return {422, words(*slip), {}};
    judge(after);
    considered.text = outcome(before.value(), after);
    return considered;
}

}  // namespace drumwatch

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/late_facts.hpp"
#include "core/words.hpp"

namespace drumwatch {

namespace {

std::string degrees(double celsius) { return fmt::format("{:.1f} °C", celsius); }
std::string seconds(double s) { return fmt::format("{:.0f} s", s); }

std::string move_name(const Reason& reason) {
    return fmt::format("{} to {}", name(reason.control), words_level(reason.level, reason.unit));
}

/// With so many digits that it is not the limit that it is beyond.
std::string beyond(double value, double limit, int digits) {
    for (; digits < 3; ++digits) {
        const double step = std::pow(10, digits);
        if (std::round(value * step) != std::round(limit * step)) break;
    }
    return fmt::format("{:.{}f}", value, digits);
}

std::string words_move_off(const Reason& reason) {
    return fmt::format("The move {} was {} s {}; {} s is allowed.", move_name(reason),
                       beyond(std::fabs(reason.value), reason.limit, 0), reason.value > 0 ? "late" : "early",
                       reason.limit);
}

std::string words_end(const Reason& reason) {
    return fmt::format("End temperature is {} °C {} the target's; {} is allowed.",
                       beyond(std::fabs(reason.value), reason.limit, 1), reason.value > 0 ? "above" : "below",
                       degrees(reason.limit));
}

const char* late_name(VerdictRule rule) { return rule == VerdictRule::colour ? "Colour" : "Weight loss"; }
const char* late_unit(VerdictRule rule) { return rule == VerdictRule::colour ? "" : " %"; }

std::string words_band(const Reason& reason) {
    const Band band{std::min(reason.limit, reason.extra), std::max(reason.limit, reason.extra)};
    return words(LateFinding{reason.rule, LateStand::out, reason.value, band});
}

std::string words_outside(const Reason& reason, const char* where) {
    return fmt::format(
        "The bean was {} for {} on end ({} s is allowed), {} {} than the target at the furthest.", where,
        seconds(reason.value), reason.limit, degrees(std::fabs(reason.extra)),
        reason.extra > 0 ? "hotter" : "cooler");
}

}  // namespace

std::string words(const Reason& reason) {
    switch (reason.rule) {
        case VerdictRule::far_outside:
            return words_outside(reason, "far outside the corridor");
        case VerdictRule::outside:
            return words_outside(reason, "outside the corridor");
        case VerdictRule::end_temperature:
            return words_end(reason);
        case VerdictRule::move_off:
            return words_move_off(reason);
        case VerdictRule::move_missed:
            return fmt::format("The planned move {} was not made.", move_name(reason));
        case VerdictRule::move_wrong_level:
            return fmt::format("The planned move {} was made to {} instead.", move_name(reason),
                               words_level(reason.value, reason.unit));
        case VerdictRule::no_target:
            return "No target was loaded: the curve can't be judged, only a cup can.";
        case VerdictRule::trial_target:
            return reason.value == static_cast<double>(TargetStatus::retired)
                       ? "The target is a retired one: it is no longer what this coffee is judged by."
                       : "The target is a trial one, not approved after a tasting.";
        case VerdictRule::no_charge:
            return "The charge is missing from the record.";
        case VerdictRule::no_drop:
            return "The drop is missing from the record.";
        case VerdictRule::readings_missing:
            return fmt::format("No good reading for {} on end; {} s is allowed.", seconds(reason.value),
                               reason.limit);
        case VerdictRule::interrupted:
            return "Recording was interrupted during the roast.";
        case VerdictRule::extra_move:
            return fmt::format("An unplanned move, {}, was made; it counts for nothing by itself.",
                               move_name(reason));
        case VerdictRule::probe_check_overdue:
            return "The bean probe's check is overdue: whether it reads right is not known.";
        case VerdictRule::first_of_day:
            return "It was the first batch of the day.";
        case VerdictRule::long_break:
            return fmt::format("It came after a break of {:.0f} minutes.", reason.value);
        case VerdictRule::weight_loss:
        case VerdictRule::colour:
            return words_band(reason);
        case VerdictRule::end_unread:
            return fmt::format(
                "No good reading in the last {} before the drop: the end temperature is not known.",
                seconds(reason.value));
        case VerdictRule::moves_unknown:
            return fmt::format(
                "No {0} level was read and no {0} move tapped: its {1:.0f} planned {2} can't be judged.",
                name(reason.control), reason.value, reason.value == 1 ? "move" : "moves");
    }
    return {};
}

std::string words(const LateFinding& finding) {
    const char* what = late_name(finding.rule);
    const char* unit = late_unit(finding.rule);
    const double value = finding.value;
    const Band& band = finding.band;
    switch (finding.stand) {
        case LateStand::within:
            return fmt::format("{} is {:.1f}{}, within the target's {:g} to {:g}{}.", what, value, unit,
                               band.low, band.high, unit);
        case LateStand::out:
            return fmt::format("{} is {}{}; the target's is {:g} to {:g}{}.", what,
                               beyond(value, value < band.low ? band.low : band.high, 1), unit, band.low,
                               band.high, unit);
        case LateStand::no_band:
            return fmt::format("{} is {:.1f}{}; the target states none, so it is not judged.", what, value,
                               unit);
        case LateStand::charge_unknown:
            return "Weight loss is not known: the charge was not weighed, and the target does not state it.";
        case LateStand::heavier:
            return fmt::format("Weight loss is not known: {:g} kg can't come out of {:g} kg; weigh again.",
                               value, band.low);
    }
    return {};
}

}  // namespace drumwatch
